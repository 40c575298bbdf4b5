"""Which measures share a system.

Conventions: a section starts a system. Within it four bars make a system; fewer where four would be
crowded, up to eight where they are easily read; a bar alone only where it is a whole section. An
ending and a two-bar sign are never split. Width is counted in the room that an eighth note takes.
The figures are common practice, no source: chosen by eye on printed pages.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache
from itertools import accumulate, pairwise
from math import sqrt
from typing import Final

from chartkit.notate.sheet import Measure
from chartkit.notate.symbols import symbol_text

USUAL: Final = 4
MOST: Final = 8
"""Bars in the usual system and in the longest."""

SIZE_COST: Final = (0.0, 50.0, 2.0, 1.6, 1.0, 3.4, 3.2, 3.6, 3.6)
"""What a system of so many bars costs."""

EASY_COST: Final = (0.0, 50.0, 2.0, 1.6, 1.0, 1.8, 1.8, 1.8, 1.0)
"""What it costs where it is easily read."""

LONG_ENDING: Final = 5
"""An ending of so many bars may be split."""

SPLIT_COST: Final = 100.0
"""What it costs to split what should not be."""

FULL: Final = 38.0
"""Width of a system that is as full as it may be; each part more costs `CROWDED_COST`. Of bars so
wide that the usual four would be fuller, two make a system at no cost."""

CROWDED_COST: Final = 20.0

EASY: Final = 28.0
"""Width up to which a system of more than four bars is easily read."""

NOTEHEAD: Final = 0.7
CHARACTER: Final = 0.5
GAP: Final = 0.6
"""Widths of the shortest note, of a letter of a chord symbol, and of the room after either."""


def in_systems(measures: tuple[Measure, ...]) -> tuple[Measure, ...]:
    """Return the measures with `new_system` set by the rules of this module.

    Parameters
    ----------
    measures : tuple of Measure
        With their rehearsal letters, which tell where sections start, and their endings.
    """
    joined = unbreakable(measures)
    starts = {
        start for section in _sections(measures) for start in _best(measures, section, joined)
    }
    return _started(measures, starts)


def in_lines(measures: tuple[Measure, ...]) -> tuple[Measure, ...]:
    """Return the measures in the systems they have, but for bars that would stand alone.

    Such a bar joins the system before it in its section, or failing that the one after.
    """
    starts: set[int] = set()
    for first, end in _sections(measures):
        inner = [n for n in range(first + 1, end) if measures[n].new_system]
        kept = [first]
        for start, after in pairwise([*inner, end]):
            if count_bars(measures[kept[-1] : start]) > 1 and count_bars(measures[start:after]) > 1:
                kept.append(start)
        starts |= set(kept)
    return _started(measures, starts)


def unbreakable(measures: tuple[Measure, ...]) -> frozenset[int]:
    """Return the measures before which no system may start: inside endings and two-bar signs."""
    signs = {n for n, measure in enumerate(measures) if measure.simile == -2}  # noqa: PLR2004
    short = [(a, b) for a, b in endings(measures) if b - a < LONG_ENDING]
    return frozenset(signs.union(*(range(a + 1, b + 1) for a, b in short)))


def endings(measures: tuple[Measure, ...]) -> list[tuple[int, int]]:
    """Return the first and the last measure of each ending."""
    firsts = [n for n, measure in enumerate(measures) if measure.ending]
    lasts = [n for n, measure in enumerate(measures) if measure.ended]
    return list(zip(firsts, lasts, strict=True))


def _started(measures: tuple[Measure, ...], starts: Iterable[int]) -> tuple[Measure, ...]:
    firsts = frozenset(starts)
    return tuple(replace(m, new_system=n in firsts) for n, m in enumerate(measures))


def _sections(measures: tuple[Measure, ...]) -> list[tuple[int, int]]:
    """Return first and past-the-last index of each section."""
    firsts = [n for n, m in enumerate(measures) if m.rehearsal or n == 0]
    return list(pairwise([*firsts, len(measures)]))


def count_bars(measures: Sequence[Measure]) -> int:
    """Count bars; a pickup is none."""
    return sum(measure.id.number > 0 for measure in measures)


def _best(
    measures: tuple[Measure, ...], section: tuple[int, int], joined: frozenset[int]
) -> tuple[int, ...]:
    """Return where the systems of one section start, at the least cost."""
    widths = [0.0, *accumulate(map(_width, measures))]
    first, end = section

    @cache
    def best(start: int) -> tuple[float, tuple[int, ...]]:
        if start == end:
            return 0.0, ()
        options = []
        for stop in range(start + 1, end + 1):
            bars = count_bars(measures[start:stop])
            if bars > MOST:
                break
            split = SPLIT_COST if stop < end and stop in joined else 0.0
            cost, rest = best(stop)
            own = _cost(bars, widths[stop] - widths[start]) if bars else SPLIT_COST
            options.append((own + split + cost, (-bars, *rest), (start, *rest)))
        cost, _, starts = min(options)
        return cost, starts

    return best(first)[1]


def _cost(bars: int, width: float) -> float:
    if bars == USUAL // 2 and width > FULL / 2:
        return SIZE_COST[USUAL]
    if width <= EASY:
        return EASY_COST[bars]
    return SIZE_COST[bars] + CROWDED_COST * max(0.0, width / FULL - 1)


def _width(measure: Measure) -> float:
    """Estimate the room a measure needs: its notes or its chord symbols, whichever is wider."""
    notes = sum(max(NOTEHEAD, sqrt(2 * e.value.length)) for e in measure.events)
    symbols = sum(CHARACTER * len(symbol_text(c)) + GAP for c in measure.chords)
    return max(notes, symbols) + GAP
