"""The fingers of a chord that is held down all at once.

Conventions: a lower fret takes a lower finger. On one fret either one finger lies flat over its
strings and those between (a barre), or the fingers go up with the strings, the lowest-sounding
first. The hand stands at the lowest fret, whose own finger is the first; the next fret is the
second finger's, and so on. The points are this project's own judgement of common practice, no
source; what matters is their order.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, product
from typing import Final

from chartkit.guitar.fretboard import FINGERS, Place

REACH: Final = 3
"""Points for each fret that a finger reaches beyond its own."""

SQUEEZE: Final = 2
"""Points for each fret that a finger stands short of its own."""

BARRE: Final = {1: 2, 2: 4, 3: 4, 4: 4}
"""Points of a barre, by the finger: it lies easily under the first alone."""


def grasp(places: Sequence[Place]) -> tuple[int, ...] | None:
    """Return the finger for each place of a held chord; None where four fingers do not do.

    Parameters
    ----------
    places : sequence of (string, fret)
        Fretted, one a string.

    >>> grasp([(3, 5), (2, 5), (1, 3)]), grasp([(4, 5), (3, 5), (2, 5), (1, 7)])
    ((3, 4, 1), (1, 1, 1, 3))
    """
    return min(_possible(places), key=lambda fingers: _points(places, fingers), default=None)


def _possible(places: Sequence[Place]) -> Iterator[tuple[int, ...]]:
    for fingers in product(range(1, FINGERS + 1), repeat=len(places)):
        held = list(zip(places, fingers, strict=True))
        if all(_agree(a, b) for a, b in combinations(held, 2)) and _lies_flat(held):
            yield fingers


def _agree(a: tuple[Place, int], b: tuple[Place, int]) -> bool:
    """Tell whether two fingers can be down together."""
    ((string, fret), finger), ((other, beyond), other_finger) = a, b
    if fret == beyond:
        return finger == other_finger or (finger < other_finger) == (string > other)
    return (finger < other_finger) == (fret < beyond) and finger != other_finger


def _lies_flat(held: Sequence[tuple[Place, int]]) -> bool:
    """Tell whether no string under a barre is stopped below it."""
    return not any(
        finger == other_finger and min(string, other) < between < max(string, other) and low < fret
        for ((string, fret), finger), ((other, _), other_finger) in combinations(held, 2)
        for (between, low), _ in held
    )


def _points(places: Sequence[Place], fingers: Sequence[int]) -> tuple[int, int]:
    """Return the points, and how many fingers it takes."""
    hand = min(fret for _, fret in places)
    down = {
        finger: fret - hand - finger + 1 for (_, fret), finger in zip(places, fingers, strict=True)
    }
    aside = sum(REACH * beyond if beyond > 0 else -SQUEEZE * beyond for beyond in down.values())
    barres = sum(BARRE[finger] for finger in down if fingers.count(finger) > 1)
    return aside + barres, len(down)
