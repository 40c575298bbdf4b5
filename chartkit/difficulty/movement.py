"""What each note of a fingered line asks of the hand.

Conventions: points are those of `chartkit.guitar.cost`. A note has the points of the way from the
note before and its own; over a rest only a shift counts. An open string has its point in position
I too, so that positions can be compared. But for that, all of a line's points together are the cost
of its fingering.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, NamedTuple

from chartkit.guitar import cost
from chartkit.guitar.cost import AT_A_REST, BODY, hurry
from chartkit.guitar.fingering import Fingering
from chartkit.guitar.fretboard import FINGERS
from chartkit.guitar.hand import Grip
from chartkit.line import Line, Tone, sounding


@dataclass(frozen=True, slots=True)
class Movement:
    """A note, its points, and the difficulties in it by their names in `SEVERAL`."""

    tone: Tone
    points: int
    difficulties: tuple[str, ...]


class _Note(NamedTuple):
    """A difficulty of a note by itself."""

    name: str
    several: str
    is_there: Callable[[Grip], bool]


class _Step(NamedTuple):
    """A difficulty of the way from a note to the next while the hand stands still."""

    name: str
    several: str
    is_there: Callable[[Grip, Grip], bool]


SHIFT: Final = "shift"

_NOTES: Final = (
    _Note("stretch", "stretches", lambda grip: grip.stretched),
    _Note("note past the body", "notes past the body", lambda g: g.fret > BODY and g.string > 1),
    _Note("open string", "open strings", lambda grip: grip.is_open),
)


def _one_finger(last: Grip, grip: Grip) -> bool:
    return last.finger == grip.finger and not grip.is_open


_STEPS: Final = (
    _Step(
        "finger hop",
        "finger hops",
        lambda last, grip: (
            _one_finger(last, grip) and last.string != grip.string and last.fret != grip.fret
        ),
    ),
    _Step(
        "slide",
        "slides",
        lambda last, grip: (
            _one_finger(last, grip) and last.string == grip.string and last.fret != grip.fret
        ),
    ),
    _Step(
        "wide span",
        "wide spans",
        lambda last, grip: (
            not (last.is_open or grip.is_open or _one_finger(last, grip))
            and abs(grip.fret - last.fret) >= FINGERS
        ),
    ),
    _Step(
        "rolled finger",
        "rolled fingers",
        lambda last, grip: (
            _one_finger(last, grip) and last.string != grip.string and last.fret == grip.fret
        ),
    ),
    _Step("string skip", "string skips", lambda a, b: abs(a.string - b.string) > 1),
)

SEVERAL: Final = {
    SHIFT: "shifts",
    **{row.name: row.several for row in (*_NOTES, *_STEPS)},
}
"""Every difficulty's name, and what several of them are called."""


def movements(line: Line, fingering: Fingering) -> tuple[Movement, ...]:
    """Return what each note of a line asks, in order of time."""
    tones, grips = sounding(line), tuple(_grips(line, fingering))
    weights = [AT_A_REST, *(_weight(before, tone) for before, tone in pairwise(tones))]
    return tuple(
        _movement(tone, grips[max(index - 1, 0)], grips[index], weights[index])
        for index, tone in enumerate(tones)
    )


def _movement(tone: Tone, last: Grip, grip: Grip, weight: int) -> Movement:
    points = cost.alone(grip, open_welcome=False) + cost.move(last, grip, weight)
    return Movement(tone, points, tuple(_difficulties(last, grip, weight)))


def _difficulties(last: Grip, grip: Grip, weight: int) -> Iterator[str]:
    if last.position != grip.position:
        yield SHIFT
    elif weight != AT_A_REST:
        yield from (row.name for row in _STEPS if row.is_there(last, grip))
    yield from (row.name for row in _NOTES if row.is_there(grip))


def _weight(before: Tone, tone: Tone) -> int:
    return hurry(tone.start - before.start, rested=before.end < tone.start)


def _grips(line: Line, fingering: Fingering) -> Iterator[Grip]:
    """Yield the grip of every note that is struck."""
    tied = False
    for note, stop, position in zip(line.notes, fingering.stops, fingering.positions, strict=True):
        if stop and position is not None and not tied:
            yield Grip(position, stop.fret, stop.string, stop.finger)
        tied = note.tie
