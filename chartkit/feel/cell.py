"""The vocabulary of a chord player: figures of one or two bars, found by the bars they fill.

Conventions: lengths are in the beats that a figure counts (`Feel.pulse`). A ``|`` inside a figure
parts its two bars. A bar length that has no figure of its own is filled by two shorter figures
(five beats by two and three or three and two), and failing that by one held stroke.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import accumulate, pairwise
from typing import Final

from chartkit.feel import patterns
from chartkit.feel.figure import Figure, Stroke

SHORTEST_GROUP: Final = 2
"""Beats of the shorter group when a long bar is felt in two."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A figure of one bar or two.

    Parameters
    ----------
    bars : tuple of int
        Beats of each bar.
    strokes : tuple of tuple of Stroke
        Those of each bar, counted from its own first beat; one may ring on past its bar.
    """

    bars: tuple[int, ...]
    strokes: tuple[tuple[Stroke, ...], ...]

    @classmethod
    def read(cls, text: str) -> Cell:
        """Read a figure with its inner bar line; ValueError as `Figure.read`.

        >>> Cell.read("x- .x .. .. | .. .x -- ..").bars
        (4, 4)
        """
        bars = tuple(len(bar.split()) for bar in text.split("|"))
        starts = (0, *accumulate(bars))
        strokes = Figure.read(text).strokes
        return cls(bars, tuple(_within(strokes, *ends) for ends in pairwise(starts)))


@cache
def cells(feel: str, bars: tuple[int, ...]) -> tuple[Cell, ...]:
    """Return the chord player's cells that fill bars of these lengths, in the file's order.

    Parameters
    ----------
    feel : str
        The name of a built feel.
    bars : tuple of int
        Beats of one bar, or of two. For one bar there is always a cell.
    """
    own = tuple(cell for cell in _vocabulary(feel) if cell.bars == bars)
    if own or len(bars) > 1:
        return own
    (beats,) = bars
    return _joined(feel, beats) or (Cell(bars, ((Stroke(Fraction(0), Fraction(beats), "x"),),)),)


@cache
def _vocabulary(feel: str) -> tuple[Cell, ...]:
    return tuple(Cell.read(text) for text in patterns(feel)["comping"]["figures"])


def _joined(feel: str, beats: int) -> tuple[Cell, ...]:
    """Every two cells that fill a bar together."""
    groups = [
        (cell.bars[0], cell.strokes[0])
        for cell in _vocabulary(feel)
        if len(cell.bars) == 1 and cell.bars[0] >= SHORTEST_GROUP
    ]
    return tuple(
        Cell((beats,), ((*one, *_shifted(two, length)),))
        for length, one in groups
        for rest, two in groups
        if length + rest == beats
    )


def _within(strokes: tuple[Stroke, ...], start: int, end: int) -> tuple[Stroke, ...]:
    return _shifted(tuple(stroke for stroke in strokes if start <= stroke.start < end), -start)


def _shifted(strokes: tuple[Stroke, ...], beats: int) -> tuple[Stroke, ...]:
    return tuple(replace(stroke, start=stroke.start + beats) for stroke in strokes)
