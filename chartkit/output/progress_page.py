"""A player's progress on one page, to look at together in a lesson."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from chartkit.output import progress_bars, progress_map, progress_tempos
from chartkit.output.blocks import (
    LEADING,
    SMALL_SIZE,
    SUBTITLE_SIZE,
    TITLE_SIZE,
    Block,
    fitting,
    text,
    wrapped,
)
from chartkit.output.dates import full, short
from chartkit.output.strokes import line, moved
from chartkit.practice.entry import ME
from chartkit.practice.looking import Ahead, Part, Report

HEADING_SIZE: Final = 10.5
WORDS_SIZE: Final = 8.5
HEADING: Final = 16.0
"""Height of a heading."""

ASK: Final = 130.0
"""Width of the words that say how to see the rest."""

BETWEEN: Final = 12.0
"""White between two things on the page."""


@dataclass(frozen=True, slots=True)
class ProgressPage:
    """A report to print.

    Parameters
    ----------
    report : Report
    caution : str
        At the foot.
    """

    report: Report
    caution: str = ""

    @property
    def title(self) -> str:
        """What stands at the top."""
        about = self.report.tune or "Practice"
        return about if self.report.player == ME else f"{self.report.player}: {about}"

    @property
    def words(self) -> tuple[str, ...]:
        """Whatever a player wrote that stands on it."""
        report = self.report
        return (
            *(word for part in report.parts for word in (part.title, part.part)),
            *(word for one in report.ahead for word in (one.what, one.why)),
        )


def block(page: ProgressPage, width: float, room: float) -> Block:
    """Return the whole page as one block; parts that have no room are counted in a line.

    Parameters
    ----------
    page : ProgressPage
    width, room : float
        Between the margins.
    """
    report = page.report
    last = progress_map.height() + HEADING
    above, y = _stacked([_top(page, width), _minutes(report, width)], 0.0)
    panels, y = _stacked(_tempos(report, width, room - y - last - BETWEEN), y)
    below = moved(_last(report, width), 0, y)
    return Block(above + panels + below, y + last)


def _stacked(blocks: Sequence[Block], y: float) -> tuple[str, float]:
    """Set blocks one under another from a height; return them and where the next one begins."""
    parts = []
    for one in blocks:
        parts.append(moved(one.drawing, 0, y))
        y += one.height + BETWEEN
    return "".join(parts), y


def _top(page: ProgressPage, width: float) -> Block:
    report = page.report
    size = fitting(page.title, TITLE_SIZE, width)
    when = f"{full(report.since)} to {full(report.until)}"
    y = TITLE_SIZE * LEADING
    return Block(
        text(page.title, width / 2, y * 0.75, size, anchor="middle")
        + text(when, width / 2, y + 9, SUBTITLE_SIZE, anchor="middle", style="italic")
        + text(totals(report), width / 2, y + 26, SMALL_SIZE, anchor="middle"),
        y + 28,
    )


def totals(report: Report) -> str:
    """Return what it all adds up to, in a line.

    Days with practice, minutes, clean runs.
    """
    counted = (
        (report.days, "day", "days"),
        (round(report.minutes), "minute", "minutes"),
        (report.clean, "clean run", "clean runs"),
    )
    return ", ".join(f"{n} {one if n == 1 else many}" for n, one, many in counted)


def _heading(words: str, width: float) -> str:
    return text(words, 0, HEADING_SIZE - 1, HEADING_SIZE) + line(
        (0, HEADING_SIZE + 2), (width, HEADING_SIZE + 2), 0.4
    )


def _minutes(report: Report, width: float) -> Block:
    drawn = moved(progress_bars.drawing(report, width), 0, HEADING)
    heading = _heading(f"Minutes and clean runs, by the {report.unit}", width)
    return Block(heading + drawn, HEADING + progress_bars.height())


def _tempos(report: Report, width: float, room: float) -> list[Block]:
    """Return the panels of as many parts as there is room for."""
    if not report.parts:
        return []
    scales = progress_tempos.scales(report.parts, report.since, report.until)
    drawn = _heading("Tempo by part", width)
    drawn += moved(progress_tempos.legend(width), 0, HEADING_SIZE - 1)
    y, shown = HEADING, 0
    for row in progress_tempos.rows(report.parts):
        if y + row.height + 2 * BETWEEN > room:
            break
        drawn += moved(progress_tempos.drawing(row, scales, width), 0, y)
        y += row.height
        shown += len(row.parts)
    return [Block(drawn, y), *_left_out(report.parts[shown:], width)]


def _left_out(parts: Sequence[Part], width: float) -> Iterator[Block]:
    if parts:
        titles = ", ".join(dict.fromkeys(part.title for part in parts))
        words = f"No room here for {len(parts)} more, of {titles}"
        line, *more = wrapped(words, WORDS_SIZE, width - ASK)
        how = f"{line}{' ...' if more else ''}: ask for one tune with --tune"
        yield Block(text(how, 0, 0, WORDS_SIZE, style="italic"), 0.0)


def _last(report: Report, width: float) -> str:
    """Draw the map, and what is due beside it."""
    left = progress_map.width()
    x = left + 2 * BETWEEN
    return (
        _heading("Keys and positions, by days", left)
        + moved(progress_map.drawing(report), 0, HEADING)
        + moved(_heading("What is due", width - x), x, 0)
        + moved("".join(_due(report.ahead, width - x)), x, HEADING)
    )


def _due(ahead: Sequence[Ahead], width: float) -> Iterator[str]:
    """Yield what is due in lines, as many as stand beside the map."""
    y, leading = WORDS_SIZE, WORDS_SIZE * LEADING
    if not ahead:
        yield text("nothing that is known here", 0, y, WORDS_SIZE, style="italic")
    for number, one in enumerate(ahead):
        lines = _lines(one, width)
        if y + (len(lines) + 1) * leading > progress_map.height():
            yield text(f"and {len(ahead) - number} more", 0, y, WORDS_SIZE)
            return
        for words, style in lines:
            yield text(words, 0, y, WORDS_SIZE, style=style)
            y += leading


def _lines(one: Ahead, width: float) -> list[tuple[str, str]]:
    """Return what is due in lines: what and when, and why in italics."""
    when = "" if one.day is None else f", {short(one.day)}"
    what = [(words, "normal") for words in wrapped(f"{one.what}{when}", WORDS_SIZE, width)]
    return what + [(words, "italic") for words in wrapped(one.why, WORDS_SIZE, width)]
