"""Which measures share a system.

Conventions: a section starts a system. Within it four bars make a system; two where four would be
crowded, eight where eight fit with ease; a bar alone in a system only where it is a whole section.
Width is counted in the space that an eighth note takes.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate, pairwise
from math import sqrt
from typing import Final

from chartkit.notate.sheet import Measure
from chartkit.notate.symbols import symbol_text

USUAL: Final = 4
"""Bars in a system."""

FULL: Final = 40.0
"""Width of a system that is as full as it may be."""

EASY: Final = 28.0
"""Width up to which a system of more than the usual bars still reads with ease."""

MOST: Final = 8
"""Bars in the longest system."""

NOTEHEAD: Final = 0.7
CHARACTER: Final = 0.5
GAP: Final = 0.6
"""Widths of the shortest note, of a letter of a chord symbol, and of the room after either."""


def in_systems(measures: tuple[Measure, ...]) -> tuple[Measure, ...]:
    """Return the measures with `new_system` set by the rules of this module.

    Parameters
    ----------
    measures : tuple of Measure
        With their rehearsal letters, which tell where sections start.
    """
    starts = {
        start
        for section in _sections(measures)
        for start in _starts(measures[section[0] : section[1]], section[0])
    }
    return tuple(replace(m, new_system=n in starts) for n, m in enumerate(measures))


def _sections(measures: tuple[Measure, ...]) -> list[tuple[int, int]]:
    """Return first and past-the-last index of each section."""
    firsts = [n for n, m in enumerate(measures) if m.rehearsal or n == 0]
    return list(pairwise([*firsts, len(measures)]))


def _starts(section: tuple[Measure, ...], offset: int) -> list[int]:
    """Return where the systems of one section start, counted from the sheet's first measure."""
    pickup = 1 if section[0].id.number == 0 and len(section) > 1 else 0
    rows = _rows(section[pickup:])
    starts = [offset + pickup + sum(rows[:n]) for n in range(len(rows))]
    return [offset, *starts[1:]]


def _rows(bars: tuple[Measure, ...]) -> list[int]:
    """Return how many bars each system of one section takes."""
    widths = [_width(bar) for bar in bars]
    split = [
        part for size, full in _spread(_usual(len(bars)), widths) for part in _halved(size, full)
    ]
    return _joined(split, widths)


def _usual(count: int) -> list[int]:
    """Cut so many bars in fours; where one is left over, the last two systems share."""
    whole, rest = divmod(count, USUAL)
    if rest == 1 and whole:
        return [USUAL] * (whole - 1) + [USUAL - 1, 2]
    return [USUAL] * whole + [rest] * (rest > 0)


def _spread(rows: list[int], widths: list[float]) -> list[tuple[int, float]]:
    """Give each system's bars and their width."""
    ends = list(accumulate(rows))
    return [(size, sum(widths[end - size : end])) for size, end in zip(rows, ends, strict=True)]


def _halved(size: int, width: float) -> list[int]:
    return [size // 2, size - size // 2] if width > FULL and size >= USUAL else [size]


def _joined(rows: list[int], widths: list[float]) -> list[int]:
    """Join neighbouring systems that are easily read as one."""
    joined: list[tuple[int, float]] = []
    for size, width in _spread(rows, widths):
        if joined and joined[-1][0] + size <= MOST and joined[-1][1] + width <= EASY:
            before = joined.pop()
            joined.append((before[0] + size, before[1] + width))
        else:
            joined.append((size, width))
    return [size for size, _ in joined]


def _width(measure: Measure) -> float:
    """Estimate the room a measure needs: its notes or its chord symbols, whichever is wider."""
    notes = sum(max(NOTEHEAD, sqrt(2 * e.end - 2 * e.start)) for e in measure.events)
    symbols = sum(CHARACTER * len(symbol_text(c)) + GAP for c in measure.chords)
    return max(notes, symbols) + GAP
