"""A period cut into weeks, months or years, whichever can be read at a glance.

Conventions: weeks begin on Monday (ISO 8601).
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Final, Literal

Unit = Literal["week", "month", "year"]

MOST_WEEKS: Final = 27
MOST_MONTHS: Final = 37
"""How many of each are shown before the next longer one is taken."""


def unit_of(since: date, until: date) -> Unit:
    """Return into what a period is cut.

    >>> unit_of(date(2026, 1, 1), date(2026, 3, 31)), unit_of(date(2026, 1, 1), date(2027, 3, 31))
    ('week', 'month')
    """
    if _count(since, until, "week") <= MOST_WEEKS:
        return "week"
    return "month" if _count(since, until, "month") <= MOST_MONTHS else "year"


def start_of(day: date, unit: Unit) -> date:
    """Return the first day of the week, month or year of a day."""
    if unit == "week":
        return date.fromordinal(max(1, day.toordinal() - day.weekday()))
    return day.replace(day=1) if unit == "month" else day.replace(month=1, day=1)


def starts(since: date, until: date, unit: Unit) -> Iterator[date]:
    """Yield the first day of each week, month or year of a period, in order."""
    start = start_of(since, unit)
    while start <= until:
        yield start
        step = {"week": 7, "month": 31, "year": 366}[unit]
        if (date.max - start).days < step:
            return
        start = start_of(start + timedelta(days=step), unit)


def _count(since: date, until: date, unit: Unit) -> int:
    first, last = start_of(since, unit), start_of(until, unit)
    if unit == "week":
        return (last - first).days // 7 + 1
    return (last.year - first.year) * 12 + last.month - first.month + 1
