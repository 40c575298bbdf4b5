"""The least-cost line through layers of pitches, open or closed into a ring.

Conventions: a layer stands for one note; its pitches go by number here, with what each costs. A
link tells what the moves from a layer to the next cost. Besides, a line pays for its contour. The
search is dynamic programming over (pitch, contour), so the line it finds is the cheapest of all. In
a ring every pitch of one layer is tried at the seam, and contour is counted afresh from there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import inf
from typing import Final, TypeAlias

from chartkit.band.contour import AFTER, START, Change, Move

Moves: TypeAlias = tuple[Move, tuple[tuple[int, float], ...]]
"""A kind of move, and where it goes at what cost."""

Link: TypeAlias = tuple[tuple[Moves, ...], ...]
"""For each pitch of a layer, the moves to the next layer."""

Layer: TypeAlias = Sequence[float]
"""What each pitch costs."""

State: TypeAlias = tuple[int, int]
"""Number of a pitch and contour."""

Held: TypeAlias = list[dict[int, float]]
"""For each pitch, the least cost of coming to it in each contour."""

Trail: TypeAlias = list[dict[int, State]]
"""For each pitch, where it was come from in each contour."""

EQUAL: Final = 1e-9
"""Costs that differ by less are the same."""


@dataclass(frozen=True, slots=True)
class _Sweep:
    """What is held at every layer from the second on, and the trail that led there.

    `more` is to be added to the costs of the last layer.
    """

    held: tuple[Held, ...]
    trails: tuple[Trail, ...]
    more: float = 0.0


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
    held = [{START: cost} for cost in layers[0]]
    sweep = _sweep(held, layers[1:], links, None)
    ends = [*_ends(sweep.held[-1] if sweep.held else held)]
    if not ends:
        return None
    _, *state = min(ends)
    return _back(sweep.trails, *state)


def _ring(layers: Sequence[Layer], links: Sequence[Link]) -> list[int] | None:
    """Try every pitch of the layer that has the fewest at the seam."""
    seam = min(range(len(layers)), key=lambda number: len(layers[number]))
    after = [*layers[seam + 1 :], *layers[: seam + 1]]
    turned = [*links[seam:], *links[:seam]]
    first: _Sweep | None = None
    lines: list[tuple[float, list[int]]] = []
    for pitch, _ in enumerate(layers[seam]):
        sweep = _sweep(_only(pitch, layers[seam]), after, turned, first)
        first = first or sweep
        ends = [end for end in _ends(sweep.held[-1]) if end[1] == pitch]
        if ends:
            total, *state = min(ends)
            lines.append((total + sweep.more, _back(sweep.trails, *state)))
    if not lines:
        return None
    _, line = min(lines)
    return [*line[len(layers) - seam : -1], *line[: len(layers) - seam]]


def _only(pitch: int, layer: Layer) -> Held:
    return [{START: 0.0} if number == pitch else {} for number, _ in enumerate(layer)]


def _sweep(
    held: Held, layers: Sequence[Layer], links: Sequence[Link], first: _Sweep | None
) -> _Sweep:
    """Go through the layers; once costs run level with the first sweep's, take over its rest."""
    helds: list[Held] = []
    trails: list[Trail] = []
    for number, (layer, link) in enumerate(zip(layers, links, strict=True), start=1):
        held, trail = _step(held, layer, link)
        helds.append(held)
        trails.append(trail)
        more = _level(held, first.held[number - 1]) if first else None
        if first and more is not None:
            return _Sweep((*helds, *first.held[number:]), (*trails, *first.trails[number:]), more)
    return _Sweep(tuple(helds), tuple(trails))


def _ends(held: Held) -> Iterator[tuple[float, int, int]]:
    """Yield cost, pitch and contour of every end."""
    for pitch, contours in enumerate(held):
        for contour, cost in contours.items():
            yield cost, pitch, contour


def _back(trails: Sequence[Trail], pitch: int, contour: int) -> list[int]:
    """Return the pitches of the line that ends in a state."""
    line = [pitch]
    for trail in reversed(trails):
        pitch, contour = trail[pitch][contour]
        line.append(pitch)
    return line[::-1]


def _level(one: Held, two: Held) -> float | None:
    """Return by how much the costs of one are above the other's, if all are by the same."""
    if any(a.keys() != b.keys() for a, b in zip(one, two, strict=True)):
        return None
    apart = [a[contour] - b[contour] for a, b in zip(one, two, strict=True) for contour in a]
    return apart[0] if apart and max(apart) - min(apart) < EQUAL else None


def _step(held: Held, layer: Layer, link: Link) -> tuple[Held, Trail]:
    """Return the least cost of every (pitch, contour) of the next layer, and the way there."""
    costs: Held = [{} for _ in layer]
    trail: Trail = [{} for _ in layer]
    for pitch, contours in enumerate(held):
        if not contours:
            continue
        for move, targets in link[pitch]:
            made = _made(contours, AFTER[move])
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
