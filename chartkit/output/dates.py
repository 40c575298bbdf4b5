"""Days as they stand on a page: short, and with the year where it matters."""

from __future__ import annotations

from datetime import date
from typing import Final

from chartkit.practice.stretches import Unit

MONTHS: Final = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)

_SHORT: Final = 3
"""Letters of a month where there is little room."""


def short(day: date, *, year: bool = False) -> str:
    """Return a day in short, without its year or with it.

    >>> short(date(2026, 3, 1)), short(date(2026, 3, 1), year=True)
    ('1 Mar', '1 Mar 26')
    """
    return f"{day.day} {MONTHS[day.month - 1][:_SHORT]}{f' {day.year % 100:02}' if year else ''}"


def full(day: date) -> str:
    """Return a day with its year.

    >>> full(date(2026, 3, 1))
    '1 March 2026'
    """
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def stretch(start: date, unit: Unit) -> str:
    """Return the name of a week, month or year.

    >>> stretch(date(2026, 3, 2), "week"), stretch(date(2026, 3, 1), "month")
    ('2 Mar', 'Mar 26')
    """
    if unit == "week":
        return short(start)
    if unit == "month":
        return f"{MONTHS[start.month - 1][:_SHORT]} {start.year % 100:02}"
    return str(start.year)
