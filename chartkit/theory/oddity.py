"""Chord symbols that cannot be read: why, and what could be meant instead.

Conventions: a pattern is matched against the whole folded quality, without root and slash bass; its
groups may be used in the qualities that could be meant.
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple


class Unreadable(Exception):  # noqa: N818 (never leaves the theory: it becomes a ChordError)
    """Why a symbol or a quality cannot be read.

    Attributes
    ----------
    found : str
        A clause.
    meant : tuple of str
        What might be meant, not yet tried; whoever shows it leaves out what cannot be read either.
    hint : str
        What could stand there, in words, for want of anything in `meant`.
    """

    def __init__(self, found: str, *meant: str, hint: str = "") -> None:
        super().__init__(found)
        self.found = found
        self.meant = meant
        self.hint = hint


class _Oddity(NamedTuple):
    pattern: re.Pattern[str]
    found: str
    meant: tuple[str, ...]


def _odd(pattern: str, found: str, *meant: str) -> _Oddity:
    return _Oddity(re.compile(pattern, re.DOTALL), found, meant)


ODDITIES: Final = (
    _odd(r"([^(]*?)\s+(.*)", "a chord symbol has no space in it", "{0}{1}"),
    _odd(
        r"M(?![0-9]|(?i:aj|a(?!dd|lt|ug)|in|i))(.*)",
        "a bare `M` could be a major triad or a major seventh",
        "{0}",
        "maj7{0}",
    ),
    _odd(r"-5(.*)", "right after the root `-` means minor, not flat", "(b5){0}", "o{0}"),
    _odd(r"\+5(.*)", "right after the root `+` is the sharp five already", "+{0}", "7#5{0}"),
    _odd(
        r"\+11(.*)",
        "right after the root `+` means augmented, not sharp",
        "7#11{0}",
        "9#5(11){0}",
    ),
    _odd(r"2(.*)", "a `2` could be an added ninth or a suspended second", "add9{0}", "sus2{0}"),
    _odd(
        r"4(.*)",
        "a `4` could be an added eleventh or a suspended fourth",
        "add11{0}",
        "sus{0}",
    ),
    _odd(r"(?i:sus)(9|11|13)(.*)", "the number goes before `sus`", "{0}sus{1}"),
    _odd(
        r"0(.*)",
        "a diminished circle is the letter `o` or `°`, not the digit 0",
        "o{0}",
    ),
)


def refuse_oddity(quality: str) -> None:
    """Raise `Unreadable` for a quality that is listed here."""
    for pattern, found, meant in ODDITIES:
        match = pattern.fullmatch(quality)
        if match:
            raise Unreadable(found, *(text.format(*match.groups()) for text in meant))
