"""Two versions of one part, bar by bar, and where one may go over into the other.

Conventions: beats are quarter notes, straight. The versions meet at a bar line where both are about
to strike the same and neither has begun to: then whatever leads there in one leads on in the other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from statistics import fmean
from typing import Final

from chartkit.track import Note, Part

TOLERANCE: Final[dict[Part, int]] = {"bass": 0, "chords": 4}
"""Semitones, on average, between what two versions strike first where they meet; other parts have
no pitch to speak of and meet anywhere."""

EARLY: Final = Fraction(1, 2)
"""A push comes so much before its beat, in quarter notes."""

BEGUN: Final[dict[Part, Fraction]] = {"bass": Fraction(0), "chords": EARLY}
"""What is struck so little before a bar line, in quarter notes, is meant for what follows it."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A bar in two versions.

    Parameters
    ----------
    start, end : Fraction
        Where it and the next one begin to sound, in quarter notes.
    own, model : tuple of Note
        What is struck in it, in order.
    free : bool
        The model's version is wanted: it leads on to the next bar as it should.
    """

    start: Fraction
    end: Fraction
    own: tuple[Note, ...]
    model: tuple[Note, ...] = ()
    free: bool = False


def met(choices: Sequence[Choice], part: Part) -> Iterator[Note]:
    """Yield the notes of every bar: the model's where they are wanted and can be reached.

    Parameters
    ----------
    choices : sequence of Choice
        All there are, in order; where they go round, from one that is not free if there is one.
    part : str
    """
    for free, group in groupby(range(len(choices)), key=lambda number: choices[number].free):
        run = [*group]
        model = _reached(choices, run, part) if free else range(0)
        for number in run:
            yield from choices[number].model if number in model else choices[number].own


def _reached(choices: Sequence[Choice], run: Sequence[int], part: Part) -> range:
    """Return those of a run of free bars that lie between two lines where the versions meet."""
    after = run[-1] + 1
    if len(run) == len(choices):
        return range(after)
    lines = [number for number in (*run, after) if _meet(choices, number, part)]
    if run[0] == 0:
        lines.insert(0, 0)
    return range(lines[0], lines[-1]) if lines else range(0)


def _meet(choices: Sequence[Choice], number: int, part: Part) -> bool:
    """Tell whether the versions meet where a bar begins, which may be the first one again."""
    if part not in TOLERANCE:
        return True
    bar, before = choices[number % len(choices)], choices[number - 1]
    begun = any(
        note.start >= before.end - BEGUN[part] or note.end > before.end
        for note in (*before.own, *before.model)
    )
    if begun or not (bar.own and bar.model):
        return False
    own, model = (
        [note.pitch for note in notes if note.start == notes[0].start]
        for notes in (bar.own, bar.model)
    )
    return abs(fmean(own) - fmean(model)) <= TOLERANCE[part]
