"""Faults of a phrase's notation, told in a player's words.

Conventions: kinds of words go by the names of their terminals in ``phrase.lark``; nothing else of
the parser is known here.
"""

from __future__ import annotations

import re
from typing import Final

from chartkit.explain import shown

WORDS: Final = {
    "CHORD": "a chord",
    "SLASH": "`/`",
    "SIMILE": "`%`",
    "NO_CHORD": "`N.C.`",
    "PITCH": "a note such as `D4`",
    "DEGREE": "a degree such as `b7`",
    "REST": "`r`",
    "VALUE": "a note value such as `e`",
    "TIE": "`_`",
    "$END": "a bar line",
}
"""What the kinds are called; those without a row go without saying where one of these stands."""

CHORD_BAR: Final = ("a chord", "`/`", "`%`", "`N.C.`")
MELODY_BAR: Final = ("a note such as `D4`", "a degree such as `b7`", "`r` for a rest")
"""What a bar is filled with."""

EMPTY: Final = "this bar is empty"

_IN_CHORDS: Final[dict[str, tuple[str, tuple[str, ...]]]] = {
    "VALUE": ("is no chord", ("note values in the `Melody:` line",)),
    "REST": ("is no chord", ("`N.C.`, or rests in the `Melody:` line",)),
    "DEGREE": ("is no chord", ("degrees in the `Melody:` line",)),
    "TIE": ("ties notes", ("`/` for one more beat of a chord",)),
    "SIMILE": ("stands beside something else", ("`%` alone in its bar",)),
    "UP": ("is no chord", CHORD_BAR),
    "DOWN": ("is no chord", CHORD_BAR),
}
_IN_MELODY: Final[dict[str, tuple[str, tuple[str, ...]]]] = {
    "CHORD": ("is no note", ("chords in the `Chords:` line", *MELODY_BAR[:2])),
    "NO_CHORD": ("is no note", ("`r` for a rest, or `N.C.` in the `Chords:` line",)),
    "SLASH": ("is no note", ("a tie such as `D4 _ D4`, or `r` for a rest",)),
    "SIMILE": ("is no note", ("the notes once more",)),
    "TIE": ("stands after no note", ("a note before it, as in `D4 _ D4`",)),
    "VALUE": ("is followed by another note value", MELODY_BAR),
    "UP": ("stands before no degree", ("a degree after it, as in `up 1`",)),
    "DOWN": ("stands before no degree", ("a degree after it, as in `down 5`",)),
}
"""What is said of a word that is known but stands where it cannot."""

_JUNK: Final = {
    ";": ("starts no comment here", ("a space before `;`",)),
    "%": ("is no sign here", ("`%` in each bar that is like the one before",)),
    ">": ("pushes a chord, which a phrase does not", ("the chord alone",)),
    "!": ("stops a chord, which a phrase does not", ("the chord alone",)),
    ":": ("is a repeat, which a phrase has not", ("the bars written out",)),
}
"""What is said of a word that is none, by its first character."""

_SMALL: Final = re.compile(r"([a-g])(bb|##|[b#]?)([0-9]?)")
_HIGH: Final = re.compile(r"[A-G](?:bb|##|[b#]?)[0-9]{2,}")
_H: Final = re.compile(r"[Hh](?:bb|##|[b#]?)[0-9]?")
_BY_HEART: Final = (
    (_SMALL, "is no note: letters of notes are capitals"),
    (_H, "is no note: the note H is written B here"),
)
"""Words of melody that a player may well type, and why they are none."""


def misplaced(kind: str, text: str, *, melody: bool) -> tuple[str, tuple[str, ...]] | None:
    """Return what is wrong with a word for what it is, and what could stand there.

    Parameters
    ----------
    kind, text : str
        The word that stands where it cannot.
    melody : bool
        It stands in a row of melody, not of chords.

    Returns
    -------
    (found, expected) or None
        None where the word itself tells nothing: what is expected there tells more.
    """
    if kind == "TENSIONS" and not melody:
        return (
            f"{shown(text)} stands apart from its chord",
            ("tensions joined to their chord, as in `C7(b9)`",),
        )
    if melody and kind == "CHORD":
        return _misspelt(text) or _said(_IN_MELODY, kind, text)
    if kind == "JUNK" and text[0] in _JUNK:
        found, expected = _JUNK[text[0]]
        return f"{shown(text)} {found}", expected
    return _said(_IN_MELODY if melody else _IN_CHORDS, kind, text)


def _said(
    table: dict[str, tuple[str, tuple[str, ...]]], kind: str, text: str
) -> tuple[str, tuple[str, ...]] | None:
    said = table.get(kind)
    return (f"{shown(text)} {said[0]}", said[1]) if said else None


def _misspelt(text: str) -> tuple[str, tuple[str, ...]] | None:
    """Return what is wrong with a word that is nearly a note."""
    if _HIGH.fullmatch(text):
        return f"{shown(text)} is no note: octaves go from 0 to 9", MELODY_BAR[:1]
    reason = next((why for pattern, why in _BY_HEART if pattern.fullmatch(text)), None)
    if not reason:
        return None
    letter = "B" if text[0] in "Hh" else text[0].upper()
    return f"{shown(text)} {reason}", (f"`{letter}{text[1:]}`",)


def names(kinds: set[str]) -> tuple[str, ...]:
    """Return what the kinds are called, each once."""
    return tuple(name for kind, name in WORDS.items() if kind in kinds)
