"""Engraved systems on pages of paper.

Conventions: points, from the paper's upper left corner. As few pages as hold the systems; among
those, the turn at a double bar where there is one; the systems of a full page are spread over it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Final

from chartkit.output.paper import Paper
from chartkit.output.systems import System

LEAST_GAP: Final = 5.0
USUAL_GAP: Final = 14.0
MOST_GAP: Final = 30.0
"""White between the drawings of two systems."""

FULL: Final = 0.72
"""A page filled so far is spread to its foot; one less full is not."""

A_PAGE: Final = 1000.0
BAD_TURN: Final = 10.0
UNEVEN: Final = 10.0
"""Costs of a page more, of a turn inside a section, and of a page left empty."""


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its systems and the place of each one's upper edge."""

    number: int
    systems: tuple[tuple[float, System], ...]


def laid_out(
    systems: tuple[System, ...], paper: Paper, heading: float, footing: float
) -> tuple[Page, ...]:
    """Place systems on pages.

    Parameters
    ----------
    systems : tuple of System
    paper : Paper
    heading : float
        Height of the first page's heading, in points.
    footing : float
        Height that every page keeps free at its foot, in points.
    """
    room = paper.height - paper.top - paper.bottom - footing
    runs = _runs(systems, room - heading, room)
    return tuple(
        Page(number, _placed(run, paper.top + lost, room - lost, last=number == len(runs)))
        for number, run in enumerate(runs, start=1)
        for lost in [heading if number == 1 else 0.0]
    )


def _runs(systems: tuple[System, ...], first_room: float, room: float) -> list[tuple[System, ...]]:
    """Cut the systems into pages at the least cost: pages first, then turns, then evenness."""

    @cache
    def best(start: int) -> tuple[float, tuple[int, ...]]:
        if start == len(systems):
            return 0.0, ()
        here = room if start else first_room
        options = []
        for end in range(start + 1, len(systems) + 1):
            height = least_height(systems[start:end])
            if height > here and end > start + 1:
                break
            cost, ends = best(end)
            turn = 0.0 if end == len(systems) else _turn(systems[end - 1])
            options.append((A_PAGE + turn + UNEVEN * (1 - height / here) ** 2 + cost, (end, *ends)))
        return min(options)

    bounds = (0, *best(0)[1])
    return [systems[a:b] for a, b in pairwise(bounds)]


def _turn(last: System) -> float:
    """Return the cost of turning the page after a system."""
    return 0.0 if last.ends_section else BAD_TURN


def least_height(systems: tuple[System, ...]) -> float:
    """Return the height that systems take at the least, in points."""
    return sum(s.height for s in systems) + LEAST_GAP * (len(systems) - 1)


def _placed(
    systems: tuple[System, ...], top: float, room: float, *, last: bool
) -> tuple[tuple[float, System], ...]:
    """Give each system of one page its place."""
    heights = [system.height for system in systems]
    free = room - sum(heights)
    gaps = max(len(systems) - 1, 1)
    filled = not last or least_height(systems) > FULL * room
    gap = min(free / gaps, MOST_GAP if filled else USUAL_GAP)
    tops = [top + sum(heights[:n]) + gap * n for n in range(len(systems))]
    return tuple(zip(tops, systems, strict=True))
