"""Figures to choose from by chance, and how they fill the bars.

Conventions: a row of a pattern file is one pattern: figures that are played together, each under
the name of what plays it, with what decides how often the row is chosen:

    { weight = [6, 2], fastest = 200, snare = ".. .x .. ..", kick = ".. .. .. .x" }

``weight`` is one number, or two for quiet and for full music; ``fastest`` is the tempo, in quarter
notes a minute, up to which it is played. Beats are the feel's pulse.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import accumulate
from typing import Any, Final, TypeAlias

from chartkit.feel import patterns
from chartkit.feel.figure import Figure, Stroke

NO_LIMIT: Final = 1000
"""A tempo that no pattern is too fast for."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """Figures played together.

    Parameters
    ----------
    figures : tuple of (str, Figure)
        Each with the name of what plays it.
    beats : int
        How long it lasts: as long as its longest figure.
    quiet, full : float
        How often it is chosen, against its siblings, when the music is quiet and when it is full.
    fastest : int
        Quarter notes a minute.
    """

    figures: tuple[tuple[str, Figure], ...]
    beats: int
    quiet: float = 1
    full: float = 1
    fastest: int = NO_LIMIT

    def weight(self, intensity: float) -> float:
        """Return how often it is chosen at an intensity from 0 (quiet) to 1 (full)."""
        return self.quiet + (self.full - self.quiet) * intensity


Laid: TypeAlias = tuple[int, int, Pattern]
"""A pattern in its place: first beat, beats played, pattern."""


@cache
def vocabulary(feel: str, player: str, name: str, tempo: Fraction) -> tuple[Pattern, ...]:
    """Return the rows under a name in a player's table of a feel, as far as the tempo allows.

    Parameters
    ----------
    feel : str
        The name of a built feel.
    player, name : str
        Such as "drums" and "fills".
    tempo : Fraction
        Quarter notes a minute.

    Raises
    ------
    ValueError
        A figure cannot be read.
    """
    rows = (read_pattern(row) for row in patterns(feel)[player][name])
    return tuple(row for row in rows if tempo <= row.fastest)


def read_pattern(row: Mapping[str, Any]) -> Pattern:
    """Read a row of a pattern file; ValueError for a figure that cannot be read."""
    weight = row.get("weight", 1)
    quiet, full = weight if isinstance(weight, list) else (weight, weight)
    figures = tuple(
        (name, Figure.read(text)) for name, text in row.items() if name not in ("weight", "fastest")
    )
    beats = max(figure.beats for _, figure in figures)
    return Pattern(figures, beats, quiet, full, row.get("fastest", NO_LIMIT))


def choose(rows: Sequence[Pattern], intensity: float, rng: random.Random) -> Pattern:
    """Return one of the patterns by chance and weight."""
    return rng.choices(rows, [row.weight(intensity) for row in rows])[0]


def fill(
    rows: Sequence[Pattern], bars: Sequence[int], intensity: float, rng: random.Random
) -> Iterator[Laid]:
    """Fill bars of so many beats each.

    A pattern lies within a bar or covers whole bars; the longest that fit are chosen from. Where
    none is short enough, one is cut.
    """
    ends = [*accumulate(bars)]
    beat = 0
    while beat < ends[-1]:
        left = next(end for end in ends if end > beat) - beat
        whole = {end - beat for end in ends} if beat in (0, *ends) else set()
        fitting = [one for one in rows if one.beats <= left or one.beats in whole]
        longest = max((one.beats for one in fitting), default=0)
        chosen = choose([one for one in fitting if one.beats == longest] or rows, intensity, rng)
        played = chosen.beats if fitting else left
        yield beat, played, chosen
        beat += played


def strokes(laid: Laid) -> Iterator[tuple[str, Stroke]]:
    """Yield each stroke with the name of what plays it, in beats from where the filling began.

    A figure shorter than its pattern goes round.
    """
    beat, played, pattern = laid
    for name, figure in pattern.figures:
        for turn in range(0, played, figure.beats):
            for stroke in figure.strokes:
                if turn + stroke.start < played:
                    yield name, replace(stroke, start=beat + turn + stroke.start)
