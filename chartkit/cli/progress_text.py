"""A report of practice in words and signs, for the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby
from typing import Final

from chartkit.cli.log_items import plain
from chartkit.cli.tables import INDENT, table
from chartkit.guitar.fretboard import numeral
from chartkit.output.dates import full, stretch
from chartkit.output.progress_page import totals
from chartkit.practice.coverage import KEYS, POSITIONS, Square
from chartkit.practice.entry import ME
from chartkit.practice.looking import Part, Report
from chartkit.practice.stretches import start_of

LEVELS: Final = "▁▂▃▄▅▆▇█"
"""Eight heights, the lowest tempo of a tune first."""

CAUTION: Final = (
    "Warm up before you play, keep the volume safe, and stop on pain: a teacher or a clinician "
    "knows more than a program."
)

WIDEST: Final = 30
"""Signs of the longest bar."""


def as_text(report: Report) -> str:
    """Return a report in lines."""
    return "".join(
        f"{line}\n"
        for line in (
            *_top(report),
            *_minutes(report),
            *_tempos(report),
            *_map(report),
            *_due(report),
            "",
            CAUTION,
        )
    )


def _top(report: Report) -> Iterator[str]:
    whose = "" if report.player == ME else f"{report.player}: "
    yield f"{whose}{report.tune or 'Practice'}, {full(report.since)} to {full(report.until)}"
    yield f"{INDENT}{totals(report)}"


def _minutes(report: Report) -> Iterator[str]:
    yield ""
    yield f"Minutes and clean runs, by the {report.unit}"
    most = max((one.minutes for one in report.stretches), default=0) or 1
    rows = [
        (
            stretch(one.start, report.unit),
            str(round(one.minutes)),
            str(one.clean or "-"),
            "█" * round(WIDEST * one.minutes / most),
        )
        for one in report.stretches
    ]
    yield from table(rows, numbers=3)


def _tempos(report: Report) -> Iterator[str]:
    for _, group in groupby(report.parts, key=lambda part: part.tune):
        parts = tuple(group)
        goal = parts[0].goal
        aim = "" if goal is None else f", {plain(goal)} to reach"
        yield ""
        yield f"{parts[0].title}: clean tempo by part, {report.unit} by {report.unit}{aim}"
        low, high = _span(parts)
        yield from table([_part(part, report, low, high) for part in parts])


def _span(parts: Sequence[Part]) -> tuple[Fraction, Fraction]:
    tempos = [mark.tempo for part in parts for mark in part.clean]
    tempos += [part.goal for part in parts if part.goal is not None]
    return min(tempos, default=Fraction(0)), max(tempos, default=Fraction(1))


def _part(part: Part, report: Report, low: Fraction, high: Fraction) -> tuple[str, str, str]:
    best: dict[object, Fraction] = {}
    for mark in part.clean:
        start = start_of(mark.day, report.unit)
        best[start] = max(mark.tempo, best.get(start, mark.tempo))
    signs = (_sign(best.get(one.start), low, high) for one in report.stretches)
    if not part.clean:
        return part.part, "not clean yet", ""
    return part.part, f"up to {plain(max(best.values()))}", "".join(signs).rstrip()


def _sign(tempo: Fraction | None, low: Fraction, high: Fraction) -> str:
    if tempo is None:
        return " "
    return LEVELS[round((len(LEVELS) - 1) * (tempo - low) / (high - low or 1))]


def _map(report: Report) -> Iterator[str]:
    yield ""
    yield "Keys and positions: days on which each was played, in brackets where never clean"
    squares = {(one.key, one.position): one for one in report.squares}
    rows = [("", *map(numeral, POSITIONS))]
    rows += [(key, *(_square(squares[key, n]) for n in POSITIONS)) for key in KEYS]
    first, *others = (max(map(len, column)) for column in zip(*rows, strict=True))
    for name, *cells in rows:
        yield f"{INDENT}{name.ljust(first)} {' '.join(cell.rjust(max(others)) for cell in cells)}"


def _square(one: Square) -> str:
    if not one.days:
        return "."
    return str(one.days) if one.clean else f"({one.days})"


def _due(report: Report) -> Iterator[str]:
    if report.ahead:
        yield ""
        yield "What is due"
        yield from table(
            [
                (one.what, "" if one.day is None else one.day.isoformat(), one.why)
                for one in report.ahead
            ]
        )
