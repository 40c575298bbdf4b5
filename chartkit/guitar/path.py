"""Least-cost paths through layers of choices, one choice from each layer.

Conventions: a step's cost is a whole number of points, or infinite where the step is not allowed.
All of it is exact, and ties fall to the choice that stands first in its layer, from the first
layer on.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from operator import add
from typing import TypeAlias, TypeVar

C = TypeVar("C")

Points: TypeAlias = float
Entry: TypeAlias = Callable[[C], Points]
"""Cost of a choice in the first layer."""

Step: TypeAlias = Callable[[int, C, C], Points]
"""Cost of going, into the layer of this number, from a choice to a choice."""

Join: TypeAlias = Callable[[Points, Points], Points]


def least_sum(
    layers: Sequence[Sequence[C]], entry: Entry[C], step: Step[C]
) -> tuple[Points, list[C]]:
    """Return the least sum of costs and the path that has it."""
    return _least(layers, entry, step, add)


def least_worst(
    layers: Sequence[Sequence[C]], entry: Entry[C], step: Step[C]
) -> tuple[Points, list[C]]:
    """Return the cost of the worst step where that is least, and a path that has it.

    Of the paths that have it, it is the one with the least sum.
    """
    worst, _ = _least(layers, entry, step, max)

    def capped(cost: Points) -> Points:
        return cost if cost <= worst else math.inf

    _, path = least_sum(
        layers,
        lambda choice: capped(entry(choice)),
        lambda number, last, choice: capped(step(number, last, choice)),
    )
    return worst, path


def _least(
    layers: Sequence[Sequence[C]], entry: Entry[C], step: Step[C], join: Join
) -> tuple[Points, list[C]]:
    """Work out the costs still ahead from the last layer back, then pick from the first one on."""
    ahead: list[Points] = [0] * len(layers[-1])
    onward: list[list[int]] = []
    for number in range(len(layers) - 1, 0, -1):
        layer = layers[number]
        best = [
            _cheapest(
                join(step(number, last, choice), cost)
                for choice, cost in zip(layer, ahead, strict=True)
            )
            for last in layers[number - 1]
        ]
        ahead = [cost for cost, _ in best]
        onward.append([index for _, index in best])
    total, index = _cheapest(
        join(entry(choice), cost) for choice, cost in zip(layers[0], ahead, strict=True)
    )
    path = [layers[0][index]]
    for layer, following in zip(layers[1:], reversed(onward), strict=True):
        index = following[index]
        path.append(layer[index])
    return total, path


def _cheapest(costs: Iterable[Points]) -> tuple[Points, int]:
    """Return the least cost and the index of the first choice that has it."""
    return min((cost, index) for index, cost in enumerate(costs))
