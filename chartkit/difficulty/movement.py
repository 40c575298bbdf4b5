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


class _Row(NamedTuple):
    """A difficulty: its name, what several are called, and whether it is there.

    It lies in the note itself, or (`on_the_way`) between it and the note before while the hand
    stands still and nothing rests.
    """

    name: str
    several: str
    is_there: Callable[[Grip, Grip], bool]
    on_the_way: bool = True


def _one_finger(last: Grip, grip: Grip) -> bool:
    return last.finger == grip.finger and not grip.is_open


def _hops(last: Grip, grip: Grip) -> bool:
    return _one_finger(last, grip) and last.string != grip.string and last.fret != grip.fret


def _slides(last: Grip, grip: Grip) -> bool:
    return _one_finger(last, grip) and last.string == grip.string and last.fret != grip.fret


def _rolls(last: Grip, grip: Grip) -> bool:
    return _one_finger(last, grip) and last.string != grip.string and last.fret == grip.fret


def _spans(last: Grip, grip: Grip) -> bool:
    two_fingers = not (last.is_open or grip.is_open or _one_finger(last, grip))
    return two_fingers and abs(grip.fret - last.fret) >= FINGERS


def _skips(last: Grip, grip: Grip) -> bool:
    return abs(grip.string - last.string) > 1


def _is_past_the_body(_: Grip, grip: Grip) -> bool:
    return grip.fret > BODY and grip.string > 1


SHIFT: Final = "shift"

_ROWS: Final = (
    _Row("finger hop", "finger hops", _hops),
    _Row("stretch", "stretches", lambda _, grip: grip.stretched, on_the_way=False),
    _Row("slide", "slides", _slides),
    _Row("wide span", "wide spans", _spans),
    _Row("rolled finger", "rolled fingers", _rolls),
    _Row("note past the body", "notes past the body", _is_past_the_body, on_the_way=False),
    _Row("open string", "open strings", lambda _, grip: grip.is_open, on_the_way=False),
    _Row("string skip", "string skips", _skips),
)

SEVERAL: Final = {SHIFT: "shifts", **{row.name: row.several for row in _ROWS}}
"""Every difficulty's name, the weightiest first, and what several of them are called."""


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
    shifted = last.position != grip.position
    on_the_way = not shifted and weight != AT_A_REST
    if shifted:
        yield SHIFT
    for row in _ROWS:
        if (on_the_way or not row.on_the_way) and row.is_there(last, grip):
            yield row.name


def _weight(before: Tone, tone: Tone) -> int:
    return hurry(tone.start - before.start, rested=before.end < tone.start)


def _grips(line: Line, fingering: Fingering) -> Iterator[Grip]:
    """Yield the grip of every note that is struck."""
    tied = False
    for note, stop, position in zip(line.notes, fingering.stops, fingering.positions, strict=True):
        if stop and position is not None and not tied:
            yield Grip(position, stop.fret, stop.string, stop.finger)
        tied = note.tie
