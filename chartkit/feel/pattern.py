"""Figures to choose from by chance, and how they fill the bars.

Conventions: a row of a pattern file is one pattern: figures that are played together, each under
the name of what plays it, with what decides how often the row is chosen:

    { weight = [6, 2], fastest = 200, snare = ".. .x .. ..", kick = ".. .. .. .x" }

``weight`` is one number, or two for quiet and for full music; ``fastest`` is the tempo, in beats a
minute, up to which it is played. Beats are the feel's pulse.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from typing import Any, Final, TypeAlias

from chartkit.feel import FEELS, patterns
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
    bars : tuple of int
        The beats of each of its bars, as in its longest figure.
    quiet, full : float
        How often it is chosen, against its siblings, when the music is quiet and when it is full.
    fastest : int
        Beats a minute.
    """

    figures: tuple[tuple[str, Figure], ...]
    bars: tuple[int, ...]
    quiet: float = 1
    full: float = 1
    fastest: int = NO_LIMIT

    @property
    def beats(self) -> int:
        """How many beats it lasts."""
        return sum(self.bars)

    def weight(self, intensity: float) -> float:
        """Return how often it is chosen at an intensity from 0 (quiet) to 1 (full)."""
        return self.quiet + (self.full - self.quiet) * intensity


Laid: TypeAlias = tuple[int, int, Pattern]
"""A pattern in its place: first beat, beats played, pattern."""


@cache
def vocabulary(feel: str, player: str, name: str, tempo: Fraction) -> tuple[Pattern, ...]:
    """Return the rows under a name in a player's table of a feel, as far as the tempo allows.

    None where the table has no such name.

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
    rows = (read_pattern(row) for row in patterns(feel)[player].get(name, ()))
    return tuple(row for row in rows if tempo <= row.fastest * FEELS[feel].pulse)


def read_pattern(row: Mapping[str, Any]) -> Pattern:
    """Read a row of a pattern file; ValueError for a figure that cannot be read."""
    weight = row.get("weight", 1)
    quiet, full = weight if isinstance(weight, list) else (weight, weight)
    figures = tuple(
        (name, Figure.read(text)) for name, text in row.items() if name not in ("weight", "fastest")
    )
    longest = max((figure for _, figure in figures), key=lambda figure: figure.beats)
    return Pattern(figures, longest.bars, quiet, full, row.get("fastest", NO_LIMIT))


def choose(rows: Sequence[Pattern], intensity: float, rng: random.Random) -> Pattern:
    """Return one of the patterns by chance and weight."""
    return rng.choices(rows, [row.weight(intensity) for row in rows])[0]


def settled(rows: Sequence[Pattern], intensity: float, rng: random.Random) -> tuple[Pattern, ...]:
    """Return one pattern for each length and parting of bars: a choice to stay with."""
    shapes = dict.fromkeys(row.bars for row in rows)
    return tuple(
        choose([row for row in rows if row.bars == bars], intensity, rng) for bars in shapes
    )


def fill(
    rows: Sequence[Pattern], bars: Sequence[int], intensity: float, rng: random.Random
) -> Iterator[Laid]:
    """Fill bars of so many beats each.

    A pattern lies within a bar; one with bar lines covers bars of just those lengths. The longest
    that fit are chosen from. Where none is short enough, one is cut.
    """
    number = beat = 0
    while number < len(bars):
        whole = [row for row in rows if row.bars == tuple(bars[number : number + len(row.bars)])]
        if any(len(row.bars) > 1 for row in whole):
            chosen = choose_longest(whole, intensity, rng)
            yield beat, chosen.beats, chosen
            number += len(chosen.bars)
        else:
            yield from _fill_bar(rows, beat, bars[number], intensity, rng)
            number += 1
        beat = sum(bars[:number])


def _fill_bar(
    rows: Sequence[Pattern], beat: int, beats: int, intensity: float, rng: random.Random
) -> Iterator[Laid]:
    end = beat + beats
    while beat < end:
        fitting = [row for row in rows if len(row.bars) == 1 and row.beats <= end - beat]
        chosen = (
            choose_longest(fitting, intensity, rng) if fitting else choose(rows, intensity, rng)
        )
        played = min(chosen.beats, end - beat)
        yield beat, played, chosen
        beat += played


def choose_longest(rows: Sequence[Pattern], intensity: float, rng: random.Random) -> Pattern:
    """Return one of the longest patterns by chance and weight."""
    beats = max(row.beats for row in rows)
    return choose([row for row in rows if row.beats == beats], intensity, rng)


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
