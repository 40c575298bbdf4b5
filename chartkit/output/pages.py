"""Blocks on pages of paper.

Conventions: points, from the paper's upper left corner. As few pages as hold the blocks; among
those, the turns where they cost least; the blocks of a full page are spread over it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from chartkit.output.blocks import Block
from chartkit.output.paper import Paper

LEAST_GAP: Final = 5.0
USUAL_GAP: Final = 14.0
MOST_GAP: Final = 30.0
"""White between the drawings of two systems."""

FULL: Final = 0.72
"""A page filled so far is spread to its foot; one less full is not."""

A_PAGE: Final = 1000.0
UNEVEN: Final = 10.0
"""Costs of a page more and of a page left empty."""


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its blocks and the place of each one's upper edge."""

    number: int
    blocks: tuple[tuple[float, Block], ...]


def laid_out(blocks: Sequence[Block], paper: Paper, footing: float) -> tuple[Page, ...]:
    """Place blocks on pages.

    Parameters
    ----------
    blocks : sequence of Block
    paper : Paper
    footing : float
        Height that every page keeps free at its foot, in points.
    """
    room = paper.height - paper.top - paper.bottom - footing
    runs = _runs(blocks, room)
    return tuple(
        Page(number, _placed(run, paper.top, room, last=number == len(runs)))
        for number, run in enumerate(runs, start=1)
    )


def _runs(blocks: Sequence[Block], room: float) -> list[Sequence[Block]]:
    """Cut the blocks into pages at the least cost: pages and turns first, then evenness."""
    best: list[tuple[float, tuple[int, ...]]] = [(0.0, ())] * (len(blocks) + 1)
    for start in reversed(range(len(blocks))):
        options = []
        for end in range(start + 1, len(blocks) + 1):
            height = least_height(blocks[start:end])
            if height > room and end > start + 1:
                break
            cost, ends = best[end]
            turn = blocks[end - 1].turn if end < len(blocks) else 0.0
            uneven = UNEVEN * (1 - height / room) ** 2
            options.append((A_PAGE + turn + uneven + cost, (end, *ends)))
        best[start] = min(options)
    return [blocks[a:b] for a, b in pairwise((0, *best[0][1]))]


def least_height(blocks: Sequence[Block]) -> float:
    """Return the height that blocks take at the least, in points."""
    return sum(block.height for block in blocks) + LEAST_GAP * _gaps(blocks)


def _gaps(blocks: Sequence[Block]) -> float:
    """Return how much white there is between the blocks, against that between two systems."""
    return sum(block.gap for block in blocks[1:])


def _placed(
    blocks: Sequence[Block], top: float, room: float, *, last: bool
) -> tuple[tuple[float, Block], ...]:
    """Give each block of one page its place."""
    free = room - sum(block.height for block in blocks)
    filled = not last or least_height(blocks) > FULL * room
    gap = min(free / max(_gaps(blocks), 1.0), MOST_GAP if filled else USUAL_GAP)
    tops = []
    for number, block in enumerate(blocks):
        top += gap * block.gap if number else 0.0
        tops.append(top)
        top += block.height
    return tuple(zip(tops, blocks, strict=True))
