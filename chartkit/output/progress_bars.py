"""Minutes and clean runs, a bar and two figures for each week, month or year."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from chartkit.output.blocks import text
from chartkit.output.dates import stretch
from chartkit.output.strokes import GREY, box, line
from chartkit.practice.looking import Report, Stretch

HEIGHT: Final = 46.0
"""Of the highest bar."""

LEFT: Final = 46.0
"""Room for the words beside the figures."""

HEAD: Final = 9.0
ROW: Final = 9.5
"""Room over the bars for their figures, and for a line of figures under them."""

SIZE: Final = 7.0
WIDEST: Final = 15.0
NAME_ROOM: Final = 26.0
"""The widest bar, and the room that the name of a stretch takes."""


def height() -> float:
    """Return the height of the drawing."""
    return HEAD + HEIGHT + 2 * ROW + 2


def drawing(report: Report, width: float) -> str:
    """Draw the minutes of a report."""
    foot = HEAD + HEIGHT
    return "".join(
        (
            line((LEFT, foot), (width, foot), 0.5),
            text("minutes", LEFT - 6, foot - 2, SIZE, anchor="end", style="italic"),
            text("clean runs", LEFT - 6, foot + ROW - 1, SIZE, anchor="end", style="italic"),
            text(
                "week of" if report.unit == "week" else report.unit,
                LEFT - 6,
                foot + 2 * ROW,
                SIZE,
                anchor="end",
                style="italic",
            ),
            *_bars(report, width),
        )
    )


def _bars(report: Report, width: float) -> Iterator[str]:
    most = max((one.minutes for one in report.stretches), default=0) or 1
    column = (width - LEFT) / max(1, len(report.stretches))
    every = -(-NAME_ROOM // column)
    for number, one in enumerate(report.stretches):
        middle = LEFT + (number + 0.5) * column
        high = HEIGHT * float(one.minutes / most)
        yield from _bar(one, middle, high, min(WIDEST, column * 0.7))
        if number % every == 0:
            name = stretch(one.start, report.unit)
            yield text(name, middle, HEAD + HEIGHT + 2 * ROW, SIZE, anchor="middle")


def _bar(one: Stretch, middle: float, high: float, wide: float) -> Iterator[str]:
    foot = HEAD + HEIGHT
    yield box((middle - wide / 2, foot - high), wide, high, GREY)
    if one.minutes:
        yield text(str(round(one.minutes)), middle, foot - high - 2, SIZE, anchor="middle")
    yield text(str(one.clean or "\u2013"), middle, foot + ROW - 1, SIZE, anchor="middle")
