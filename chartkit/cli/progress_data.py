"""A report of practice for other programs: one table, or one object.

Conventions: days as ISO 8601 writes them. In the object tempos and minutes are exact, ``112`` or
``225/2``; in the table they are decimals, minutes to the hundredth, so that a spreadsheet takes
them for numbers. In the table the first field of a row says what it tells: ``total``, ``week`` (or
``month`` or ``year``), ``tempo``, ``square`` or ``due``; fields that do not concern it are empty.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from fractions import Fraction
from typing import Any, Final

from chartkit.practice.looking import Report

FIELDS: Final = (
    *("row", "tune", "part", "key", "position", "day", "days", "minutes", "clean", "tempo"),
    *("what", "why"),
)


def as_csv(report: Report) -> str:
    """Return a report as a table with a header (RFC 4180)."""
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, FIELDS, restval="")
    writer.writeheader()
    writer.writerows(_rows(report))
    return text.getvalue()


def as_json(report: Report) -> str:
    """Return a report as one object."""
    return json.dumps(_object(report), ensure_ascii=False, indent=2) + "\n"


def _rows(report: Report) -> Iterator[dict[str, object]]:
    yield {
        "row": "total",
        "days": report.days,
        "minutes": _decimal(report.minutes),
        "clean": report.clean,
    }
    for one in report.stretches:
        yield {
            "row": report.unit,
            "day": one.start,
            "days": one.days,
            "minutes": _decimal(one.minutes),
            "clean": one.clean,
        }
    for part in report.parts:
        for mark in part.marks:
            yield {
                "row": "tempo",
                "tune": part.tune,
                "part": part.part,
                "day": mark.day,
                "tempo": _decimal(mark.tempo),
                "clean": int(mark.clean),
            }
    for square in report.squares:
        yield {
            "row": "square",
            "key": square.key,
            "position": square.position,
            "days": square.days,
            "clean": square.clean,
        }
    for due in report.ahead:
        day = due.day or ""
        yield {"row": "due", "tune": due.tune, "what": due.what, "day": day, "why": due.why}


def _decimal(number: Fraction) -> str:
    """Return a number to the hundredth at most.

    >>> _decimal(Fraction(225, 2)), _decimal(Fraction(208, 3))
    ('112.5', '69.33')
    """
    return f"{float(number):.2f}".rstrip("0").rstrip(".")


def _object(report: Report) -> dict[str, Any]:
    return {
        "player": report.player,
        "since": report.since.isoformat(),
        "until": report.until.isoformat(),
        "tune": report.tune,
        "days": report.days,
        "minutes": str(report.minutes),
        "clean": report.clean,
        "by": report.unit,
        "stretches": [
            {
                "start": one.start.isoformat(),
                "days": one.days,
                "minutes": str(one.minutes),
                "clean": one.clean,
            }
            for one in report.stretches
        ],
        "parts": [
            {
                "tune": part.tune,
                "title": part.title,
                "part": part.part,
                "goal": None if part.goal is None else str(part.goal),
                "marks": [
                    {"day": m.day.isoformat(), "tempo": str(m.tempo), "clean": m.clean}
                    for m in part.marks
                ],
            }
            for part in report.parts
        ],
        "squares": [
            {"key": one.key, "position": one.position, "days": one.days, "clean": one.clean}
            for one in report.squares
        ],
        "due": [
            {
                "tune": one.tune,
                "what": one.what,
                "day": None if one.day is None else one.day.isoformat(),
                "why": one.why,
            }
            for one in report.ahead
        ],
    }
