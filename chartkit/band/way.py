"""The least costly way through places that each offer several choices, open or closed to a ring.

Conventions: choices are counted from 0 at each place. ``steps(k)[j][i]`` is the cost of coming to
choice j of place k from choice i of the place before, which for place 0 is the last one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from operator import add
from typing import Final, TypeAlias

Costs: TypeAlias = Sequence[float]
Steps: TypeAlias = Callable[[int], Sequence[Costs]]

SETTLE: Final = 24
"""So many places on, the best way hardly ever depends on where it began."""


def cheapest(choices: Sequence[Costs], steps: Steps, *, closed: bool) -> list[int]:
    """Return the choice at each place so that choices and steps cost least in all.

    Parameters
    ----------
    choices : sequence of sequence of float
        The cost of each choice at each place; none of them empty.
    steps : callable
        The costs of the steps to a place.
    closed : bool
        The last place leads to the first. A short ring is tried from every choice of its first
        place. A longer one is opened at the choices by which a way that begins long before it and
        goes on long after it passes its first place, where it has forgotten how it began.
    """
    lap = len(choices)
    if not closed or not lap:
        return _walk(choices, steps, range(lap))[1]
    seams: Iterable[int] = range(len(choices[0]))
    if lap > SETTLE:
        long = _walk(choices, steps, range(-SETTLE, lap + SETTLE))[1]
        seams = {long[SETTLE], long[SETTLE + lap]}
    return min(_ring(choices, steps, seam) for seam in seams)[1]


def _ring(choices: Sequence[Costs], steps: Steps, seam: int) -> tuple[float, list[int]]:
    """Return the best way that leaves from a choice and comes back to it, after its cost."""
    lap = len(choices)
    leave = [cost if index == seam else math.inf for index, cost in enumerate(choices[0])]
    come = [0.0 if index == seam else math.inf for index in range(len(leave))]
    unrolled = [leave, *choices[1:], come]
    total, way = _walk(unrolled, lambda place: steps(place % lap), range(lap + 1))
    return total, way[:-1]


def _walk(choices: Sequence[Costs], steps: Steps, places: range) -> tuple[float, list[int]]:
    """Return the best open way through places, after its cost; places go round and round."""
    if not places:
        return 0.0, []
    lap = len(choices)
    totals = list(choices[places[0] % lap])
    back: list[list[int]] = []
    for place in places[1:]:
        ways = [list(map(add, totals, row)) for row in steps(place % lap)]
        least = [min(way) for way in ways]
        back.append([way.index(cost) for way, cost in zip(ways, least, strict=True)])
        totals = list(map(add, least, choices[place % lap]))
    total = min(totals)
    way = [totals.index(total)]
    for came in reversed(back):
        way.append(came[way[-1]])
    return total, way[::-1]
