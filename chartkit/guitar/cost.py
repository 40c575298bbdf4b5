"""What a movement of the hand costs, in points.

Conventions: a step goes from one note to the next; it costs the move and what the next note costs
alone. Shifts count first: a fingering with fewer of
them is better whatever its points, so the table below only decides between fingerings with equally
few. The points are this project's own judgement of common practice, no source; what matters is
their order.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, NamedTuple

from chartkit.guitar.fretboard import FINGERS
from chartkit.guitar.hand import Grip


class Cost(NamedTuple):
    """Points, and why."""

    points: int
    reason: str


STRETCH: Final = Cost(6, "a finger that leaves its fret is slower, weaker and tires the hand")
OPEN: Final = Cost(1, "an open string nobody asked for stands out from the fretted notes")
HIGH: Final = Cost(1, "each fret past the body joint, times the strings that the hand reaches over")
SPAN: Final = Cost(3, "each fret over four between two notes pulls the hand wide open")
HOP: Final = Cost(10, "one finger cannot be on two strings at different frets without a gap")
SLIDE: Final = Cost(5, "one finger on two frets of a string is heard as a slide")
ROLL: Final = Cost(2, "one finger on one fret of two strings rolls over as a small barre")
SKIP: Final = Cost(1, "each string passed over makes the pick travel further")
SHIFT: Final = Cost(4, "the hand lets go of the neck and has to find its place again")
DISTANCE: Final = Cost(1, "each fret that the hand travels along the neck")

BODY: Final = 12
"""The fret where a guitar's neck commonly meets its body [common practice, no source]."""

AT_A_REST: Final = 1
"""How much a shift weighs while nothing sounds; other movements weigh nothing there."""

HURRY: Final = ((Fraction(2), 2), (Fraction(1), 3), (Fraction(1, 2), 4))
"""How much a shift weighs without a rest, by the quarter notes that there are at least for it."""

IN_A_RUSH: Final = 6
"""How much a shift weighs where there is still less time."""


def hurry(beats: Fraction, *, rested: bool) -> int:
    """Return the weight of a shift between two notes.

    Parameters
    ----------
    beats : Fraction
        Quarter notes from the start of one note to the start of the next.
    rested : bool
        A rest stands between them.

    >>> hurry(Fraction(1, 2), rested=False), hurry(Fraction(4), rested=False)
    (4, 2)
    """
    if rested:
        return AT_A_REST
    return next((weight for least, weight in HURRY if beats >= least), IN_A_RUSH)


def alone(grip: Grip, *, open_welcome: bool) -> int:
    """Return the points of a note by itself, wherever the hand comes from.

    Parameters
    ----------
    grip : Grip
    open_welcome : bool
        Open strings were asked for, and cost nothing.
    """
    if grip.is_open:
        return 0 if open_welcome else OPEN.points
    past_body = HIGH.points * max(grip.fret - BODY, 0) * (grip.string - 1)
    return past_body + (STRETCH.points if grip.stretched else 0)


def move(last: Grip, grip: Grip, weight: int) -> int:
    """Return the points of the way from one note to the next.

    Parameters
    ----------
    last, grip : Grip
    weight : int
        From `hurry`.
    """
    if last.position != grip.position:
        return weight * shift(last, grip)
    return 0 if weight == AT_A_REST else within_position(last, grip)


def shift(last: Grip, grip: Grip) -> int:
    """Return the points of a shift before the time there is for it is counted."""
    return SHIFT.points + DISTANCE.points * abs(grip.position - last.position)


def within_position(last: Grip, grip: Grip) -> int:
    """Return the points of a movement while the hand stands still."""
    skipped = SKIP.points * max(abs(grip.string - last.string) - 1, 0)
    if last.is_open or grip.is_open:
        return skipped
    if last.finger == grip.finger:
        return skipped + same_finger(last, grip)
    return skipped + SPAN.points * max(abs(grip.fret - last.fret) - (FINGERS - 1), 0)


def same_finger(last: Grip, grip: Grip) -> int:
    """Return the points of one finger playing both notes without a shift."""
    if last.string == grip.string:
        return 0 if last.fret == grip.fret else SLIDE.points
    return ROLL.points if last.fret == grip.fret else HOP.points
