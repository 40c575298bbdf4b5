"""Figures: what is played on each note of a scale, and the way they take through it.

Conventions: a figure is written in the numbers of the scale's notes, counted from the one it starts
on: 13 is a third up, 135 a triad, 1235 the first three notes and the fifth. Going down it is played
backwards. The way sets out from the lowest tonic, goes up as far as the figure fits, down to the
bottom and up to the tonic again. Names: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from chartkit.errors import RequestError, either

_NUMBERS: Final = re.compile(r"1[1-9]{0,7}")


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure.

    Parameters
    ----------
    name : str
    numbers : tuple of int
        From 1, the note it starts on.
    """

    name: str
    numbers: tuple[int, ...]

    @property
    def breaks_a_chord(self) -> bool:
        """Whether it goes through a triad or a seventh from its root up."""
        return self.numbers in ((1, 3, 5), (1, 3, 5, 7))

    @property
    def span(self) -> int:
        """How many scale steps lie from its first note to its highest."""
        return max(self.numbers) - 1


SCALE: Final = Figure("scale", (1,))

FIGURES: Final = {
    figure.name: figure
    for figure in (
        SCALE,
        Figure("thirds", (1, 3)),
        Figure("fourths", (1, 4)),
        Figure("fifths", (1, 5)),
        Figure("sixths", (1, 6)),
        Figure("octaves", (1, 8)),
        Figure("triads", (1, 3, 5)),
        Figure("seventh-chords", (1, 3, 5, 7)),
        Figure("1234", (1, 2, 3, 4)),
        Figure("1235", (1, 2, 3, 5)),
        Figure("1231", (1, 2, 3, 1)),
    )
}
"""Figures with a name; any other is written in its numbers."""


def read_figure(text: str) -> Figure:
    """Return the figure of a name, or the one written in numbers.

    Raises
    ------
    RequestError
        It is neither.

    >>> read_figure("1352").numbers
    (1, 3, 5, 2)
    """
    if text in FIGURES:
        return FIGURES[text]
    if not _NUMBERS.fullmatch(text):
        raise RequestError(
            f"`{text}` is not a figure; choose {either(tuple(FIGURES))}, or write the numbers of "
            "the scale's notes from 1 on, like 1352"
        )
    return Figure(text, tuple(map(int, text)))


@dataclass(frozen=True, slots=True)
class Played:
    """A figure as it is played on one note of a ladder.

    Parameters
    ----------
    start : int
        The index of its note 1.
    indices : tuple of int
        Of the ladder's notes, in the order they are played.
    """

    start: int
    indices: tuple[int, ...]


def way(figure: Figure, count: int, tonic: int) -> Iterator[Played]:
    """Yield a figure on each note of its way through a ladder of notes.

    Parameters
    ----------
    figure : Figure
    count : int
        Notes in the ladder; the figure fits on the tonic at least.
    tonic : int
        The index of the lowest tonic.
    """
    steps = [number - 1 for number in figure.numbers]
    top = count - 1 - figure.span
    up, down, home = range(tonic, top + 1), range(top - 1, -1, -1), range(1, tonic + 1)
    for start in up:
        yield Played(start, tuple(start + step for step in steps))
    for start in down:
        yield Played(start, tuple(start + step for step in reversed(steps)))
    for start in home:
        last = start == tonic
        yield Played(start, (start,) if last else tuple(start + step for step in steps))
