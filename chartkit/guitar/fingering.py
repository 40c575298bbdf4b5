"""Fingering a whole line at the least cost.

Conventions: the hand, its position and what a shift is stand in `chartkit.guitar.hand`, the points
in `chartkit.guitar.cost`. Of all fingerings with the fewest shifts the search returns the one with
the least sum of points, or with the least worst step (and, among those, the least sum). Where
several are equal it takes the hand that stands lower on the neck, then the lower fret, then the
higher-sounding string, from the first note on.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import inf
from typing import Final, Literal

from chartkit.errors import CannotPlay
from chartkit.guitar import cost
from chartkit.guitar.cost import hurry
from chartkit.guitar.fretboard import STANDARD, Stop, Tuning, check_position, check_strings
from chartkit.guitar.hand import Grip, Neck
from chartkit.guitar.path import Points, least_sum, least_worst
from chartkit.guitar.reasons import reasons
from chartkit.guitar.shifts import fewest_shifts
from chartkit.guitar.stroke import Stroke, strokes
from chartkit.line import Line, LineNote, sounding

Objective = Literal["sum", "worst"]

_SEARCH: Final = {"sum": least_sum, "worst": least_worst}


@dataclass(frozen=True, slots=True)
class Fingering:
    """Where and with which finger each note of a line is played.

    Parameters
    ----------
    stops : tuple of Stop or None
        One for each note of the line, in order; None for a rest.
    cost : float
        Points of the whole path, or of its worst step where that was the objective.
    reasons : tuple of str
        Why the hand moves where it does, a sentence each.
    positions : tuple of int or None
        Where the hand stands for each note of the line; None for a rest.
    """

    stops: tuple[Stop | None, ...]
    cost: float
    reasons: tuple[str, ...] = ()
    positions: tuple[int | None, ...] = ()

    @property
    def shifts(self) -> int:
        """How often the hand changes its position."""
        stood = [position for position in self.positions if position is not None]
        return sum(last != position for last, position in pairwise(stood))

    @property
    def stretched(self) -> bool:
        """Whether a finger leaves its own fret; never known without the positions."""
        held = zip(self.stops, self.positions, strict=False)
        return any(
            Grip(position, stop.fret, stop.string, stop.finger).stretched
            for stop, position in held
            if stop is not None and position is not None
        )


def finger(
    line: Line,
    tuning: Tuning = STANDARD,
    *,
    position: int | None = None,
    strings: tuple[int, ...] | None = None,
    open_strings: bool = False,
    objective: Objective = "sum",
) -> Fingering:
    """Finger a line: every note of it in its place, with the fewest shifts at the least cost.

    Parameters
    ----------
    line : Line
    tuning : Tuning
    position : int, optional
        Stay in this position; free by default.
    strings : tuple of int, optional
        Use only these strings; all by default.
    open_strings : bool
        Use open strings wherever they serve. Otherwise they serve in position I: at will where
        that position was asked for, else only for what they save.
    objective : {"sum", "worst"}
        What is least: the sum of all steps or the worst of them.

    Raises
    ------
    RequestError
        There is no such position or string.
    CannotPlay
        A note has no place where it was asked to be; the bar and the note are named.
    """
    neck = _neck(tuning, position, strings, open_strings=open_strings)
    made = strokes(line, neck)
    points, path = _least(made, neck, objective) if made else (0, [])
    grips = tuple(_spread(line.notes, path))
    return Fingering(
        stops=tuple(grip.stop if grip else None for grip in grips),
        cost=points,
        reasons=tuple(reasons(made, path)) if made and position is None else (),
        positions=tuple(grip.position if grip else None for grip in grips),
    )


def finger_up(pitches: Sequence[int], tuning: Tuning, position: int) -> tuple[Stop, ...]:
    """Finger pitches played one after the other in a position, in even time.

    Parameters
    ----------
    pitches : sequence of int
        MIDI note numbers, at least one.
    tuning : Tuning
    position : int

    Raises
    ------
    RequestError
        There is no such position.
    CannotPlay
        A pitch has no place in it.
    """
    neck = _neck(tuning, position, None, open_strings=False)
    made = [Stroke("", hurry(Fraction(1), rested=False), neck.grips(pitch)) for pitch in pitches]
    if not all(stroke.grips for stroke in made):
        raise CannotPlay(f"a note of this shape cannot be played {neck}; choose another position")
    _, path = _least(made, neck, "sum")
    return tuple(grip.stop for grip in path)


def as_given(line: Line, grips: Sequence[Grip]) -> Fingering:
    """Return the fingering of a line whose grips are settled already.

    Parameters
    ----------
    line : Line
    grips : sequence of Grip
        One for each note that is heard, in order.

    Returns
    -------
    Fingering
        Its cost is the sum of all steps, open strings welcome; it gives no reasons.
    """
    weights = [
        hurry(after.start - tone.start, rested=tone.end < after.start)
        for tone, after in pairwise(sounding(line))
    ]
    moves = zip(pairwise(grips), weights, strict=True)
    spread = tuple(_spread(line.notes, grips))
    return Fingering(
        stops=tuple(grip.stop if grip else None for grip in spread),
        cost=sum(cost.alone(grip, open_welcome=True) for grip in grips)
        + sum(cost.move(last, grip, weight) for (last, grip), weight in moves),
        positions=tuple(grip.position if grip else None for grip in spread),
    )


def _neck(
    tuning: Tuning, position: int | None, strings: tuple[int, ...] | None, *, open_strings: bool
) -> Neck:
    if position is not None:
        check_position(tuning, position)
    chosen = frozenset(tuning.strings if strings is None else strings)
    check_strings(tuning, chosen)
    positions = tuning.positions if position is None else range(position, position + 1)
    return Neck(tuning, positions, chosen, open_strings or position == 1)


def _least(made: Sequence[Stroke], neck: Neck, objective: Objective) -> tuple[Points, list[Grip]]:
    """Search the grips that lie on a way with the fewest shifts."""
    ways = fewest_shifts([stroke.positions for stroke in made])
    layers = [
        [grip for grip in stroke.grips if ways.keeps(number, grip.position)]
        for number, stroke in enumerate(made)
    ]

    def alone(grip: Grip) -> int:
        return cost.alone(grip, open_welcome=neck.open_strings)

    def step(number: int, last: Grip, grip: Grip) -> Points:
        if not ways.allows(number, last.position, grip.position):
            return inf
        return alone(grip) + cost.move(last, grip, made[number].weight)

    return _SEARCH[objective](layers, alone, step)


def _spread(notes: Sequence[LineNote], path: Sequence[Grip]) -> Iterator[Grip | None]:
    """Yield the grip of every written note: none for a rest, the same one along a tie."""
    grips = iter(path)
    grip, tied = None, False
    for note in notes:
        if not tied:
            grip = next(grips) if note.pitch else None
        yield grip
        tied = note.tie
