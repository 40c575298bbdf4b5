"""The least-cost line through layers of pitches, open or closed into a ring.

Conventions: a layer stands for one note; its pitches go by number here, with what each costs. A
link tells what the moves from a layer to the next cost. Besides, a line pays for its contour: for
turning too soon, running on too long, leaping on after a leap. The search is dynamic programming
over (pitch, contour), so the line it finds is the cheapest of all. In a ring every pitch of one
layer is tried at the seam, and contour is counted afresh from there.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import IntEnum
from math import inf
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


Moves: TypeAlias = tuple[Move, tuple[tuple[int, float], ...]]
"""A kind of move, and where it goes at what cost."""

Link: TypeAlias = tuple[tuple[Moves, ...], ...]
"""For each pitch of a layer, the moves to the next layer."""

Layer: TypeAlias = Sequence[float]
"""What each pitch costs."""

# A contour is a number: the start, 1 to 4 moves up (4 or more are one), the same down, and after a
# leap either way.
_LONGEST: Final = len(GO_ON)
_START: Final = 0
_UP: Final = range(1, 1 + _LONGEST)
_DOWN: Final = range(_UP.stop, _UP.stop + _LONGEST)
_LEAPT_UP: Final = _DOWN.stop
_LEAPT_DOWN: Final = _DOWN.stop + 1
_CONTOURS: Final = range(_DOWN.stop + 2)

Change: TypeAlias = dict[int, tuple[float, int]]
"""What a move costs in each contour it may follow, and the contour it makes."""


def _changes(on: range, back: range, leapt: int, leapt_back: int) -> tuple[Change, Change, Change]:
    """Return what a step, a step that goes on, and a leap one way do to every contour."""
    gone = range(_LONGEST)
    going = {on[n]: (GO_ON[n], on[min(n + 1, _LONGEST - 1)]) for n in gone}
    turning = {back[n]: (TURN[n], on[0]) for n in gone}
    step = {
        _START: (0.0, on[0]),
        leapt: (STEP_AFTER_LEAP, on[0]),
        leapt_back: (0.0, on[0]),
        **going,
        **turning,
    }
    leap = {
        _START: (0.0, leapt),
        leapt: (LEAP_AFTER_LEAP, leapt),
        leapt_back: (LEAP_AFTER_LEAP, leapt),
        **{on[n]: (GO_ON[n] + LEAP_ON, leapt) for n in gone},
        **{back[n]: (TURN[n], leapt) for n in gone},
    }
    return step, going, leap


_STEP_UP, _ON_UP, _LEAP_UP = _changes(_UP, _DOWN, _LEAPT_UP, _LEAPT_DOWN)
_STEP_DOWN, _ON_DOWN, _LEAP_DOWN = _changes(_DOWN, _UP, _LEAPT_DOWN, _LEAPT_UP)
_AFTER: Final[dict[Move, Change]] = {
    Move.UP: _STEP_UP,
    Move.DOWN: _STEP_DOWN,
    Move.LEAP_UP: _LEAP_UP,
    Move.LEAP_DOWN: _LEAP_DOWN,
    Move.SAME: {contour: (0.0, contour) for contour in _CONTOURS},
    Move.ON_UP: _ON_UP,
    Move.ON_DOWN: _ON_DOWN,
    Move.FREE: dict.fromkeys(_CONTOURS, (0.0, _START)),
}

State: TypeAlias = tuple[int, int]
"""Number of a pitch and contour."""


def least(layers: Sequence[Layer], links: Sequence[Link], *, closed: bool) -> list[int] | None:
    """Return the number of a pitch in each layer; None where no line gets through.

    Parameters
    ----------
    layers : sequence of Layer
        At least one.
    links : sequence of Link
        From each layer to the next; in a ring, one more from the last to the first.
    closed : bool
    """
    if not closed:
        return _line(layers, links, range(len(layers[0])))[1]
    seam = min(range(len(layers)), key=lambda number: len(layers[number]))
    around = [*layers[seam:], *layers[: seam + 1]]
    turned = [*links[seam:], *links[:seam]]
    lines = (_line(around, turned, [pitch], pitch) for pitch in range(len(layers[seam])))
    _, line = min(lines, key=lambda found: found[0])
    return line and [*line[-seam - 1 : -1], *line[: len(layers) - seam]]


def _line(
    layers: Sequence[Layer], links: Sequence[Link], starts: Sequence[int], end: int | None = None
) -> tuple[float, list[int] | None]:
    """Return the least cost and its line, from given pitches and to one where it is given."""
    held = [{_START: cost} if number in starts else {} for number, cost in enumerate(layers[0])]
    trails: list[list[dict[int, State]]] = []
    for layer, link in zip(layers[1:], links, strict=True):
        held, trail = _step(held, layer, link)
        trails.append(trail)
    totals = [
        (cost, pitch, contour)
        for pitch, contours in enumerate(held)
        if end in (None, pitch)
        for contour, cost in contours.items()
    ]
    if not totals:
        return inf, None
    total, pitch, contour = min(totals)
    line = [pitch]
    for trail in reversed(trails):
        pitch, contour = trail[pitch][contour]
        line.append(pitch)
    return total, line[::-1]


def _step(
    held: Sequence[dict[int, float]], layer: Layer, link: Link
) -> tuple[list[dict[int, float]], list[dict[int, State]]]:
    """Return the least cost of every (pitch, contour) of the next layer, and the way there."""
    costs: list[dict[int, float]] = [{} for _ in layer]
    trail: list[dict[int, State]] = [{} for _ in layer]
    for pitch, contours in enumerate(held):
        if not contours:
            continue
        for move, targets in link[pitch]:
            made = _made(contours, _AFTER[move])
            for target, cost in targets:
                row = costs[target]
                for contour, (total, before) in made:
                    if total + cost < row.get(contour, inf):
                        row[contour] = total + cost
                        trail[target][contour] = pitch, before
    for row, own in zip(costs, layer, strict=True):
        for contour in row:
            row[contour] += own
    return costs, trail


def _made(contours: dict[int, float], change: Change) -> list[tuple[int, tuple[float, int]]]:
    """Return the contours that a move makes of those held, each at its least cost."""
    made: dict[int, tuple[float, int]] = {}
    for before, cost in contours.items():
        if before in change:
            more, contour = change[before]
            if contour not in made or cost + more < made[contour][0]:
                made[contour] = cost + more, before
    return [*made.items()]
