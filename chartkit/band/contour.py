"""The contour of a line: what each move costs after the moves before it.

Conventions: a contour is a number: the start, 1 to 4 moves up (4 or more are one), the same down,
and after a leap either way. The costs are in `chartkit.band.bass_costs`.
"""

from __future__ import annotations

from enum import IntEnum
from typing import Final, TypeAlias

from chartkit.band.bass_costs import GO_ON, LEAP_AFTER_LEAP, LEAP_ON, STEP_AFTER_LEAP, TURN


class Move(IntEnum):
    """A kind of move.

    One that goes on leaves a note that is only passed through: it keeps the direction. One that is
    free comes after silence and owes nothing to what was before.
    """

    UP = 0
    DOWN = 1
    LEAP_UP = 2
    LEAP_DOWN = 3
    SAME = 4
    ON_UP = 5
    ON_DOWN = 6
    FREE = 7


_LONGEST: Final = len(GO_ON)
START: Final = 0
_UP: Final = range(1, 1 + _LONGEST)
_DOWN: Final = range(_UP.stop, _UP.stop + _LONGEST)
_LEAPT_UP: Final = _DOWN.stop
_LEAPT_DOWN: Final = _DOWN.stop + 1
CONTOURS: Final = range(_DOWN.stop + 2)

Change: TypeAlias = dict[int, tuple[float, int]]
"""What a move costs in each contour it may follow, and the contour it makes."""


def _changes(on: range, back: range, leapt: int, leapt_back: int) -> tuple[Change, Change, Change]:
    """Return what a step, a step that goes on, and a leap one way do to every contour."""
    gone = range(_LONGEST)
    going = {on[n]: (GO_ON[n], on[min(n + 1, _LONGEST - 1)]) for n in gone}
    turning = {back[n]: (TURN[n], on[0]) for n in gone}
    step = {
        START: (0.0, on[0]),
        leapt: (STEP_AFTER_LEAP, on[0]),
        leapt_back: (0.0, on[0]),
        **going,
        **turning,
    }
    leap = {
        START: (0.0, leapt),
        leapt: (LEAP_AFTER_LEAP, leapt),
        leapt_back: (LEAP_AFTER_LEAP, leapt),
        **{on[n]: (GO_ON[n] + LEAP_ON, leapt) for n in gone},
        **{back[n]: (TURN[n], leapt) for n in gone},
    }
    return step, going, leap


_STEP_UP, _ON_UP, _LEAP_UP = _changes(_UP, _DOWN, _LEAPT_UP, _LEAPT_DOWN)
_STEP_DOWN, _ON_DOWN, _LEAP_DOWN = _changes(_DOWN, _UP, _LEAPT_DOWN, _LEAPT_UP)
AFTER: Final[dict[Move, Change]] = {
    Move.UP: _STEP_UP,
    Move.DOWN: _STEP_DOWN,
    Move.LEAP_UP: _LEAP_UP,
    Move.LEAP_DOWN: _LEAP_DOWN,
    Move.SAME: {contour: (0.0, contour) for contour in CONTOURS},
    Move.ON_UP: _ON_UP,
    Move.ON_DOWN: _ON_DOWN,
    Move.FREE: dict.fromkeys(CONTOURS, (0.0, START)),
}
