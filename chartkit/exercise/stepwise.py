"""The cheapest way through layers of notes where each note allows only a few next ones.

Conventions: costs are whole points. Of equally cheap ways the one found first is kept, so the order
in which `onward` gives the next states decides ties.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Generic, TypeVar

S = TypeVar("S")


@dataclass(frozen=True, slots=True)
class Way(Generic[S]):
    """A state reached at a cost, and the way to it."""

    points: int
    state: S
    before: Way[S] | None = None

    @property
    def states(self) -> list[S]:
        """All states from the first to this one."""
        found, way = [self.state], self.before
        while way:
            found.append(way.state)
            way = way.before
        return found[::-1]


class Stuck(Exception):  # noqa: N818 (a state of affairs; its caller says what it means in music)
    """No state of the layer of this number can be reached."""

    def __init__(self, layer: int) -> None:
        super().__init__(layer)
        self.layer = layer


def cheapest_way(
    first: Iterable[tuple[S, int]],
    layers: int,
    onward: Callable[[int, S], Iterable[tuple[S, int]]],
) -> list[S]:
    """Return the states of the cheapest way through all layers.

    Parameters
    ----------
    first : iterable of (state, points)
        Where a way may begin.
    layers : int
        How many states a way has.
    onward : callable
        Gives for the number of a layer and a state of the layer before it the states that may come
        next, each with what it costs to go there.

    Raises
    ------
    Stuck
        There is no way through.
    """
    reached = _best(Way(points, state) for state, points in first)
    for layer in range(1, layers):
        if not reached:
            raise Stuck(layer - 1)
        reached = _best(
            Way(way.points + points, state, way)
            for way in reached.values()
            for state, points in onward(layer, way.state)
        )
    if not reached:
        raise Stuck(layers - 1)
    return min(reached.values(), key=lambda way: way.points).states


def _best(ways: Iterable[Way[S]]) -> dict[S, Way[S]]:
    best: dict[S, Way[S]] = {}
    for way in ways:
        known = best.get(way.state)
        if known is None or way.points < known.points:
            best[way.state] = way
    return best
