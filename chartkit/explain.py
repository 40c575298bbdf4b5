"""Faults of notation, told in a player's words.

Conventions: kinds of words go by the names of their terminals in ``chart.lark``; nothing else of
the parser is known here.
"""

from __future__ import annotations

from typing import Final

WORDS: Final = {
    "CHORD": "a chord",
    "SLASH": "`/`",
    "SIMILE": "`%`",
    "NO_CHORD": "`N.C.`",
    "RPAR": "`)`",
    "SEGNO": "a word such as `D.C.`",
    "AL_FINE": "`al Fine`",
    "AL_CODA": "`al Coda`",
    "ENDING": "an ending such as `1.`",
    "$END": "a bar line",
}
"""What the kinds are called; those without a row go without saying where one of these stands."""

BEATS: Final = ("a chord", "`/`", "`%`", "`N.C.`")
"""What a bar is filled with."""

EMPTY: Final = "this bar is empty"

_LENGTH: Final = 32
"""Characters of a word that are shown."""

_MISPLACED: Final = {
    "SIMILE": ("stands beside something else", ("`{}` alone in its bar",)),
    "METER": ("comes too late", ("a meter change before the bar's first beat",)),
    "QUOTED": ("stands before no chord", ("a chord after it",)),
    "TIMES": ("stands apart from its repeat", ("`:|{}`",)),
    "ENDING": ("stands apart from its bar line", ("`|{}`",)),
    "LAST_TIME": ("stands in the wrong place", ("`last time` before a word such as `D.C.`",)),
    "RPAR": ("closes nothing", ("chords in brackets, as in `(Gm7 C7)`",)),
    "AL_FINE": ("stands by itself", ("`D.C. al Fine` or `D.S. al Fine`",)),
    "AL_CODA": ("stands by itself", ("`D.C. al Coda` or `D.S. al Coda`",)),
}
"""What is said of a word that is known but stands where it cannot."""

_JUNK: Final = {
    "!": ("stands apart from its chord", ("a stop joined to its chord, as in `F7!`",)),
    ";": ("starts no comment here", ("a space before `;`",)),
    '"': ("opens a text that is not closed in this line", ('`"` after the text',)),
    "[": ("is not a label at the start of a line", ("a label such as `[A]`, on its own line",)),
    "{": ("is not a meter", ("a meter such as `{{3/4}}`",)),
    "%": ("stands beside something else", ("`%` alone in its bar",)),
    ":": ("is not a bar line", ("`|:` or `:|`",)),
}
"""What is said of a word that is none, by its first character."""


def misplaced(kind: str, text: str, chord: str) -> tuple[str, tuple[str, ...]] | None:
    """Return what is wrong with a word for what it is, and what could stand there.

    Parameters
    ----------
    kind, text : str
        The word that stands where it cannot.
    chord : str
        The chord right before it, or nothing.

    Returns
    -------
    (found, expected) or None
        None where the word itself tells nothing: what is expected there tells more.
    """
    if kind == "TENSIONS":
        return (
            f"{shown(text)} stands apart from its chord",
            (f"tensions joined to their chord, as in `{chord or 'C7'}{text}`",),
        )
    if kind == "JUNK" and text.startswith(">"):
        return _push(text)
    said = _JUNK.get(text[0]) if kind == "JUNK" else _MISPLACED.get(kind)
    if not said:
        return None
    found, expected = said
    return f"{shown(text)} {found}", tuple(one.format(text) for one in expected)


def _push(text: str) -> tuple[str, tuple[str, ...]]:
    found = "stands apart from its chord" if text == ">" else "pushes no chord"
    return f"{shown(text)} {found}", ("a push joined to its chord, as in `>F7`",)


def names(kinds: set[str]) -> tuple[str, ...]:
    """Return what the kinds are called, each once, the commonest first."""
    return tuple(name for kind, name in WORDS.items() if kind in kinds)


def shown(text: str) -> str:
    """Return a word of the file as it is quoted in a message: short, and printable."""
    short = text if len(text) <= _LENGTH else f"{text[: _LENGTH - 1]}…"
    return "`" + "".join(c if c.isprintable() else "�" for c in short) + "`"
