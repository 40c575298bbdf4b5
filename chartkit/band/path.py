"""The least-cost line through layers of pitches, open or closed into a ring.

Conventions: a layer stands for one note; its pitches go by number here, with what each costs. A
link tells what the moves from a layer to the next cost. Besides, a line pays for its contour. The
search is dynamic programming over (pitch, contour), so the line it finds is the cheapest of all. In
a ring every pitch of one layer is tried at the seam, and contour is counted afresh from there.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Sequence
from math import inf
from typing import Final, TypeAlias

from chartkit.band.contour import AFTER, CONTOURS, START, Change, Move

Moves: TypeAlias = tuple[Move, tuple[tuple[int, float], ...]]
"""A kind of move, and where it goes at what cost."""

Link: TypeAlias = tuple[tuple[Moves, ...], ...]
"""For each pitch of a layer, the moves to the next layer."""

Layer: TypeAlias = Sequence[float]
"""What each pitch costs."""

Held: TypeAlias = list[dict[int, float]]
"""For each pitch, the least cost of coming to it in each contour."""

Trail: TypeAlias = "array[int]"
"""Where each pitch was come from in each contour: a state, at the place of a state.

A state is a pitch and a contour in one number: pitch times the number of contours, plus contour.
"""

EQUAL: Final = 1e-9
"""Costs that differ by less are the same."""


def least(layers: Sequence[Layer], links: Sequence[Link], *, closed: bool) -> list[int] | None:
    """Return the number of a pitch in each layer; None where no line gets through.

    Parameters
    ----------
    layers : sequence of Layer
        At least one, two in a ring.
    links : sequence of Link
        From each layer to the next; in a ring, one more from the last to the first.
    closed : bool
    """
    return _ring(layers, links) if closed else _open(layers, links)


def _open(layers: Sequence[Layer], links: Sequence[Link]) -> list[int] | None:
    sweep = _Sweep([{START: cost} for cost in layers[0]])
    for layer, link in zip(layers[1:], links, strict=True):
        sweep.step(layer, link)
    ends = [*sweep.ends()]
    return _back(sweep.trails, min(ends)[1]) if ends else None


def _ring(layers: Sequence[Layer], links: Sequence[Link]) -> list[int] | None:
    """Start from every pitch of the layer that has the fewest, and come back to it."""
    seam = min(range(len(layers)), key=lambda number: len(layers[number]))
    after = [*layers[seam + 1 :], *layers[: seam + 1]]
    turned = [*links[seam:], *links[:seam]]
    sweeps = [_Sweep(_only(pitch, layers[seam])) for pitch, _ in enumerate(layers[seam])]
    for layer, link in zip(after, turned, strict=True):
        for sweep in sweeps:
            sweep.step(layer, link)
            sweep.join(sweeps[0])
    ends = [
        (total, state, sweep)
        for pitch, sweep in enumerate(sweeps)
        for total, state in sweep.ends()
        if state // len(CONTOURS) == pitch
    ]
    if not ends:
        return None
    _, state, sweep = min(ends, key=lambda end: end[0])
    line = _back(sweep.trails, state)
    return [*line[len(layers) - seam : -1], *line[: len(layers) - seam]]


def _only(pitch: int, layer: Layer) -> Held:
    return [{START: 0.0} if number == pitch else {} for number, _ in enumerate(layer)]


class _Sweep:
    """A search under way: what is held at its last layer, and the trails that lead there.

    Once it runs level with another sweep, all its costs higher by the same, the two go on as one.
    """

    def __init__(self, held: Held) -> None:
        self._held = held
        self._trails: list[Trail] = []
        self._joined: _Sweep | None = None
        self._above = 0.0

    @property
    def trails(self) -> list[Trail]:
        """The trail to every layer but the first."""
        own = self._trails
        return [*own, *self._joined.trails[len(own) :]] if self._joined else own

    def step(self, layer: Layer, link: Link) -> None:
        """Go on to the next layer."""
        if not self._joined:
            self._held, trail = _step(self._held, layer, link)
            self._trails.append(trail)

    def join(self, other: _Sweep) -> None:
        """Go on as one with another sweep from here, if level with it."""
        above = None if other is self or self._joined else _level(self._held, other._held)
        if above is not None:
            self._joined, self._above, self._held = other, above, []

    def ends(self) -> Iterator[tuple[float, int]]:
        """Yield cost and state of every end."""
        if self._joined:
            yield from ((cost + self._above, state) for cost, state in self._joined.ends())
        for pitch, contours in enumerate(self._held):
            for contour, cost in contours.items():
                yield cost, pitch * len(CONTOURS) + contour


def _back(trails: Sequence[Trail], state: int) -> list[int]:
    """Return the pitches of the line that ends in a state."""
    line = [state // len(CONTOURS)]
    for trail in reversed(trails):
        state = trail[state]
        line.append(state // len(CONTOURS))
    return line[::-1]


def _level(one: Held, two: Held) -> float | None:
    """Return by how much the costs of one are above the other's, if all are by the same."""
    if any(a.keys() != b.keys() for a, b in zip(one, two, strict=True)):
        return None
    apart = [a[contour] - b[contour] for a, b in zip(one, two, strict=True) for contour in a]
    return apart[0] if apart and max(apart) - min(apart) < EQUAL else None


def _step(held: Held, layer: Layer, link: Link) -> tuple[Held, Trail]:
    """Return the least cost of every pitch and contour of the next layer, and the way there."""
    costs: Held = [{} for _ in layer]
    trail = array("H", bytes(2 * len(layer) * len(CONTOURS)))
    for pitch, contours in enumerate(held):
        if not contours:
            continue
        first = pitch * len(CONTOURS)
        for move, targets in link[pitch]:
            made = _made(contours, AFTER[move])
            for target, cost in targets:
                row = costs[target]
                for contour, (total, before) in made:
                    if total + cost < row.get(contour, inf):
                        row[contour] = total + cost
                        trail[target * len(CONTOURS) + contour] = first + before
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
