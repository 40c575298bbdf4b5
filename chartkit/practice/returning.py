"""Which tune is today's, and which finished one comes back.

The rule: unfinished tunes take turns, the one that was longest not played first; only so many at a
time, in the order they were taken up. A finished tune comes back after some days, after each clean
time twice as many, after a miss half as many. One comes back a day for each place that there is,
the most overdue first, so that missed days do not pile up. Source of the growing gaps: common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from chartkit.practice.past import Try
from chartkit.practice.template import Template

LONGEST_GAP: Final = 180
"""Days; a tune that is played twice a year is still known."""


@dataclass(frozen=True, slots=True)
class Due:
    """A finished tune and when it comes back: the day, and the gap in days before it."""

    tune: str
    day: date
    gap: int


def comes_back(tune: str, finished: date, tries: Iterable[Try], template: Template) -> Due:
    """Return when a finished tune comes back.

    Parameters
    ----------
    tune : str
    finished : date
    tries : iterable of Try
        In order; what is of other tunes or of days up to `finished` is passed over.
    template : Template
    """
    gap, last = template.comes_back, finished
    later: dict[date, list[Try]] = {}
    for one in tries:
        if one.tune == tune and one.day > finished:
            later.setdefault(one.day, []).append(one)
    for day in sorted(later):
        if any(one.missed for one in later[day]):
            gap = max(template.comes_back, gap // 2)
        elif any(one.clean for one in later[day]) and (day - last).days >= gap:
            gap = min(LONGEST_GAP, gap * 2)
        last = day
    return Due(tune, last + timedelta(days=gap), gap)


def today_first(unfinished: Sequence[str], tries: Sequence[Try], at_once: int) -> tuple[str, ...]:
    """Return the unfinished tunes that take turns, today's first.

    Parameters
    ----------
    unfinished : sequence of str
        In the order they were taken up.
    tries : sequence of Try
    at_once : int
    """
    last = {one.tune: one.day for one in tries if one.tune}
    return tuple(sorted(unfinished[:at_once], key=lambda tune: last.get(tune, date.min)))


def due_today(finished: Iterable[Due], day: date) -> tuple[Due, ...]:
    """Return the finished tunes that are due, the most overdue first."""
    return tuple(sorted((d for d in finished if d.day <= day), key=lambda d: (d.day, d.tune)))
