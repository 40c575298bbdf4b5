"""The hardest bars of some changes, to be practised by themselves.

Conventions: a bar is as hard as its movement is quick. Its movement is that of the notes of a
fingered line in it (`chartkit.difficulty.movement`, the way into the bar included), added up and
divided by the seconds that the bar lasts: points a second. So a bar with twice the movement is as
hard as one at twice the tempo. The measure is this project's own, no source.

A written bar that comes several times counts as it is the hardest time. A loop of bars is a range
of printed numbers; bars that follow each other make one loop.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from chartkit.difficulty.movement import SEVERAL, Movement
from chartkit.form import BarId
from chartkit.line import Line, span_at


@dataclass(frozen=True, slots=True)
class HardBar:
    """A bar, its points a second, and how many of each difficulty it has."""

    bar: BarId
    points: Fraction
    difficulties: tuple[tuple[str, int], ...]

    @property
    def reasons(self) -> tuple[str, ...]:
        """Its difficulties in words, the weightiest kind first."""
        return tuple(
            f"{count} {name if count == 1 else SEVERAL[name]}" for name, count in self.difficulties
        )


def bar_by_bar(line: Line, movements: Sequence[Movement], tempo: Fraction) -> tuple[HardBar, ...]:
    """Return how hard each written bar of a line is, in order of the printed numbers.

    Parameters
    ----------
    line : Line
    movements : sequence of Movement
        Of the line's notes.
    tempo : Fraction
        Quarter notes a minute.
    """
    within: defaultdict[Fraction, list[Movement]] = defaultdict(list)
    for one in movements:
        within[span_at(line, one.tone.start).bar_start].append(one)
    lengths: defaultdict[Fraction, Fraction] = defaultdict(Fraction)
    for span in line.spans:
        lengths[span.bar_start] += span.length
    bars = {span.bar_start: span.bar for span in line.spans}
    hardest: dict[BarId, HardBar] = {}
    for start, bar in bars.items():
        played = _hard_bar(bar, within[start], lengths[start] * 60 / tempo)
        hardest[bar] = max(hardest.get(bar, played), played, key=lambda one: one.points)
    return tuple(sorted(hardest.values(), key=lambda one: (one.bar.number, one.bar.index)))


def hardest(bars: Iterable[HardBar], count: int) -> tuple[HardBar, ...]:
    """Return so many of the bars, the hardest first; none without a number or without movement."""
    moving = (one for one in bars if one.points and one.bar.number)
    return tuple(sorted(moving, key=lambda one: -one.points)[:count])


def loops(bars: Iterable[HardBar]) -> tuple[tuple[int, int], ...]:
    """Return the ranges of printed numbers, both ends included, that hold these bars alone."""
    found: list[tuple[int, int]] = []
    for number in sorted({one.bar.number for one in bars}):
        if found and found[-1][1] + 1 == number:
            found[-1] = (found[-1][0], number)
        else:
            found.append((number, number))
    return tuple(found)


def _hard_bar(bar: BarId, movements: Sequence[Movement], seconds: Fraction) -> HardBar:
    counted = Counter(name for one in movements for name in one.difficulties)
    points = sum(one.points for one in movements) / seconds
    return HardBar(bar, points, tuple((name, counted[name]) for name in SEVERAL if counted[name]))
