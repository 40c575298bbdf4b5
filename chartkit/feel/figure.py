"""Rhythms written as a player counts them.

Conventions: a figure is a string of beats parted by spaces; the characters of a beat share it
evenly, so ``x`` is a quarter, ``xx`` two eighths, ``x.x`` the outer two of a triplet. A full stop
is silence, a hyphen holds the stroke before it, ``|`` is a bar line; any other character is a
stroke, and what it means is the player's affair. The ride of a swing drummer is
``x xx x xx``, a chord on one and held, then on the and of two, is ``x- .x -- ..``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

_REST: Final = "."
_HOLD: Final = "-"


@dataclass(frozen=True, slots=True)
class Stroke:
    """One sound of a figure.

    Parameters
    ----------
    start, length : Fraction
        In beats from the figure's start.
    mark : str
        The character that stands for it.
    """

    start: Fraction
    length: Fraction
    mark: str


@dataclass(frozen=True, slots=True)
class Figure:
    """A rhythm.

    Parameters
    ----------
    bars : tuple of int
        The beats of each of its bars, or of the part of a bar that it lasts.
    strokes : tuple of Stroke
        In order.
    """

    bars: tuple[int, ...]
    strokes: tuple[Stroke, ...]

    @property
    def beats(self) -> int:
        """How many beats it lasts."""
        return sum(self.bars)

    @classmethod
    def read(cls, text: str) -> Figure:
        """Read a figure; raise ValueError where there is no beat or nothing to hold.

        >>> [(str(s.start), str(s.length)) for s in Figure.read("x- .x -- ..").strokes]
        [('0', '1'), ('3/2', '3/2')]
        """
        bars = [bar.split() for bar in text.split("|")]
        if not all(bars):
            raise ValueError(f"`{text}` has a bar without a beat.")
        strokes: list[Stroke] = []
        sounding = False
        for start, length, mark in _slots([beat for bar in bars for beat in bar]):
            if mark == _HOLD and not sounding:
                raise ValueError(f"`{text}` holds where nothing sounds.")
            if mark == _HOLD:
                last = strokes.pop()
                strokes.append(Stroke(last.start, last.length + length, last.mark))
            elif mark != _REST:
                strokes.append(Stroke(start, length, mark))
            sounding = mark != _REST
        return cls(tuple(map(len, bars)), tuple(strokes))


def _slots(beats: list[str]) -> Iterator[tuple[Fraction, Fraction, str]]:
    """Start, length and character of every place in the beats."""
    for number, beat in enumerate(beats):
        part = Fraction(1, len(beat))
        for place, mark in enumerate(beat):
            yield number + place * part, part, mark
