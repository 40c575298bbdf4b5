"""Chord symbols: text to `Chord` and back.

Conventions: a symbol is a root, a quality and perhaps a slash bass. Look-alike signs are folded
before anything is read. An accidental right after the letter belongs to the root. Qualities have
their own modules: `quality` reads them, `tidy` writes them, `oddity` says why some cannot be read.

Many symbols mean one chord; `write_symbol` gives its one tidy symbol, and every symbol that can be
read is read back from it unchanged.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

from chartkit.errors import ChordError
from chartkit.theory.chord import Chord
from chartkit.theory.oddity import Unreadable
from chartkit.theory.pitch import NoteName
from chartkit.theory.quality import quality_degrees
from chartkit.theory.tidy import tidy_quality

LONGEST: Final = 64
"""Characters in the longest symbol that is looked at."""

LOOK_ALIKES: Final = str.maketrans(
    {
        **dict.fromkeys("♭", "b"),
        **dict.fromkeys("♯", "#"),
        **dict.fromkeys("𝄫", "bb"),
        **dict.fromkeys("𝄪", "##"),
        **dict.fromkeys("∆△", "Δ"),
        **dict.fromkeys("Ø∅", "ø"),
        **dict.fromkeys("°º˚", "o"),
        **dict.fromkeys("−–", "-"),  # noqa: RUF001 (minus and dash are the point here)
    }
)

_PARTS: Final = re.compile(r"([A-G])(bb|##|[b#])?(.*?)(?:/([A-G](?:bb|##|[b#])?))?", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Symbol:
    """A chord as read, and what the reader should know about how it was taken.

    Parameters
    ----------
    chord : Chord
    warnings : tuple of str
        A clause each; empty for a symbol that nobody could misread.
    """

    chord: Chord
    warnings: tuple[str, ...] = ()


class _Notice(NamedTuple):
    """A symbol that is read but could be misread, by pattern over the whole folded symbol."""

    pattern: re.Pattern[str]
    text: str


_NOTICES: Final = (
    _Notice(
        re.compile(r"([A-G])(b|#)5.*", re.DOTALL),
        "`{symbol}` is read as a power chord on {0}{1}; a {1}5 on {0} is `{0}({1}5)`",
    ),
    _Notice(
        re.compile(r"([EB])(#)(9|11).*|([CF])(b)(9|13).*", re.DOTALL),
        "`{symbol}` is read on the root {0}{1}; a {1}{2} on {0} is `{0}7{1}{2}` or `{0}({1}{2})`",
    ),
    _Notice(
        re.compile(r"([EB]#|[CF]b).*", re.DOTALL),
        "`{0}` is a rare root; {same} sounds the same",
    ),
    _Notice(
        re.compile(r"([A-G][b#]?)11(?!.*(?i:sus)).*", re.DOTALL),
        "`{symbol}` is read as `{0}9sus`; `{0}9(11)` keeps its third",
    ),
    _Notice(
        re.compile(r"([A-G][b#]?)\+9.*", re.DOTALL),
        "`{symbol}` is read as `{0}9#5`; a sharp nine is `{0}7#9`",
    ),
)


@lru_cache(maxsize=4096)
def read_symbol(text: str) -> Symbol:
    """Read a chord symbol.

    Parameters
    ----------
    text : str
        One token, such as ``F#m7b5/E``.

    Returns
    -------
    Symbol
        The chord, and warnings where the symbol could be misread.

    Raises
    ------
    ChordError
        Where it is no chord symbol, or could mean two things.

    Examples
    --------
    >>> read_symbol("C-7-5") == read_symbol("Cø")
    True
    """
    try:
        return _read(text)
    except Unreadable as trouble:
        meant = tuple(f"`{symbol}`" for symbol in trouble.meant if _reads(symbol))
        expected = meant or ((trouble.hint,) if trouble.hint else ())
        found = f"`{_cut(text)}`: {trouble.found}"
        raise ChordError(text, _printable(found), expected) from None


def _reads(symbol: str) -> bool:
    try:
        _read(symbol)
    except Unreadable:
        return False
    return True


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else "�" for c in text)


def _read(text: str) -> Symbol:
    if len(text) > LONGEST:
        raise Unreadable(f"a chord symbol has at most {LONGEST} characters")
    folded = text.translate(LOOK_ALIKES)
    root, quality, bass = _split(folded)
    try:
        built = quality_degrees(quality)
    except Unreadable as trouble:
        trouble.meant = tuple(
            f"{root}{meant}{f'/{bass}' if bass else ''}" for meant in trouble.meant
        )
        raise
    chord = Chord(root, built, None if bass == root else bass)
    return Symbol(chord, tuple(_notices(folded, text)))


def _notices(folded: str, symbol: str) -> Iterator[str]:
    for pattern, text in _NOTICES:
        match = pattern.fullmatch(folded)
        if match:
            groups = [group for group in match.groups() if group]
            same = NoteName.parse(groups[0]).plain
            yield text.format(*groups, symbol=symbol, same=same)


def _split(text: str) -> tuple[NoteName, str, NoteName | None]:
    """Part a folded symbol into root, quality and bass."""
    match = _PARTS.fullmatch(text)
    if not match:
        raise _no_root(text)
    letter, sign, quality, bass = match.groups()
    quality = quality.replace("6/9", "69")
    if len(sign or "") == 2:  # noqa: PLR2004 (a pair)
        raise _double(letter, sign, text[3:])
    if "/" in quality:
        raise _bad_bass(text)
    root = NoteName.parse(letter + (sign or ""))
    return root, quality, NoteName.parse(bass) if bass else None


def _no_root(text: str) -> Unreadable:
    if text.startswith("/"):
        return Unreadable("a slash bass needs its chord", hint="a chord before the slash")
    if text.startswith(("H", "h")):
        return Unreadable("the note H is written B here", "B" + text[1:])
    return Unreadable("a chord starts with a capital letter A to G", text[:1].upper() + text[1:])


def _double(letter: str, sign: str, rest: str) -> Unreadable:
    """Refuse a root that could be a double accidental or an accidental and an altered degree."""
    same = NoteName.parse(letter + sign).plain
    found = f"a root has at most one accidental, so `{sign}` could mean two things"
    return Unreadable(found, f"{letter}{sign[0]}({sign[0]}{rest})", f"{same}{rest}")


def _bad_bass(text: str) -> Unreadable:
    before, after = text.rsplit("/", 1)
    note = after[:1].upper().replace("H", "B") + after[1:]
    found = f"`{after}` is no bass note" if after else "no bass note follows the slash"
    return Unreadable(found, f"{before}/{note}" if after else before, f"{before}({after})")


def write_symbol(chord: Chord) -> str:
    """Write a chord as its one tidy symbol; the inverse of `read_symbol`.

    Raises
    ------
    ChordError
        Where no symbol stands for the degrees (`read_symbol` never gives such a chord).

    Examples
    --------
    >>> write_symbol(read_symbol("F♯-7-5/E").chord)
    'F#m7b5/E'
    """
    slash = f"/{chord.bass}" if chord.bass else ""
    return f"{chord.root}{tidy_quality(chord.degrees)}{slash}"
