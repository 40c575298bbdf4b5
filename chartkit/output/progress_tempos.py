"""Tempo over time, a small panel for each part of a tune, all of a tune on one scale.

A filled dot is a clean run, a ring one that was not clean yet; the dashed line is the tempo to
reach. Tunes of few parts stand side by side.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import groupby, pairwise
from math import ceil, floor
from typing import Final

from chartkit.output.blocks import fitting, text
from chartkit.output.dates import short
from chartkit.output.strokes import ACCENT, GREY, Point, dot, line, moved, way
from chartkit.practice.looking import Mark, Part

COLUMNS: Final = 4
GAP: Final = 16.0
"""White between two panels side by side."""

LEFT: Final = 18.0
"""Room for the tempos beside a panel."""

NAME: Final = 11.0
HEIGHT: Final = 58.0
FOOT: Final = 14.0
"""Room over a panel for its name, the panel itself, and room under it for the days."""

TITLE: Final = 15.0
"""Room over that for a tune's title."""

LEGEND: Final = 140.0
"""Width of what says what the signs are."""

SIZE: Final = 7.0
TITLE_SIZE: Final = 9.5
NAME_SIZE: Final = 8.5

LARGE: Final = 1.7
SMALL: Final = 1.0
FEW: Final = 30
"""Radii of dots, and so many marks in a panel have large ones."""

STEP: Final = 10
"""Tempos are ruled so far apart, or twice that, and so on."""

MOST_RULES: Final = 5


@dataclass(frozen=True, slots=True)
class Scale:
    """What the panels of a tune have in common.

    Parameters
    ----------
    since, until : date
    low, high : int
        Tempos.
    step : int
        Between two ruled tempos.
    radius : float
        Of a dot.
    """

    since: date
    until: date
    low: int
    high: int
    step: int
    radius: float

    def place(self, mark: Mark, width: float) -> Point:
        """Return where a mark stands in a panel."""
        return self.across(mark.day, width), self.up(mark.tempo)

    def across(self, day: date, width: float) -> float:
        """Return how far to the right a day stands."""
        return width * (day - self.since).days / max(1, (self.until - self.since).days)

    def up(self, tempo: Fraction | int) -> float:
        """Return how far down from a panel's top a tempo stands."""
        return HEIGHT * float(self.high - tempo) / (self.high - self.low)


def scale_of(parts: Sequence[Part], since: date, until: date) -> Scale:
    """Return the scale that all marks and goals of a tune fit."""
    tempos = [mark.tempo for part in parts for mark in part.marks]
    tempos += [part.goal for part in parts if part.goal is not None]
    radius = LARGE if max(len(part.marks) for part in parts) <= FEW else SMALL
    step = STEP
    while True:
        low = floor(min(tempos) / step) * step
        high = max(ceil(max(tempos) / step) * step, low + step)
        if (high - low) // step < MOST_RULES:
            return Scale(since, until, low, high, step, radius)
        step *= 2


@dataclass(frozen=True, slots=True)
class Row:
    """Panels side by side.

    Parameters
    ----------
    parts : tuple of Part
        At most `COLUMNS`.
    first : tuple of int
        Columns at which a tune begins, with its title over it.
    """

    parts: tuple[Part, ...]
    first: tuple[int, ...]

    @property
    def height(self) -> float:
        """In points."""
        return (TITLE if self.first else 0.0) + NAME + HEIGHT + FOOT


def rows(parts: Sequence[Part]) -> tuple[Row, ...]:
    """Set the parts of tunes in rows; a tune that has no room in a row begins the next one."""
    found: list[Row] = []
    for _, group in groupby(parts, key=lambda part: part.tune):
        own = tuple(group)
        if found and len(found[-1].parts) + len(own) <= COLUMNS:
            last = found.pop()
            found.append(Row(last.parts + own, (*last.first, len(last.parts))))
            continue
        found += [
            Row(own[start : start + COLUMNS], () if start else (0,))
            for start in range(0, len(own), COLUMNS)
        ]
    return tuple(found)


def scales(parts: Sequence[Part], since: date, until: date) -> dict[str, Scale]:
    """Return the scale of each tune, by its id."""
    return {
        tune: scale_of(tuple(group), since, until)
        for tune, group in groupby(parts, key=lambda part: part.tune)
    }


def drawing(row: Row, scales: Mapping[str, Scale], width: float) -> str:
    """Draw a row from its upper left corner."""
    across = (width - (COLUMNS - 1) * GAP) / COLUMNS
    down = NAME + (TITLE if row.first else 0.0)
    panels = (
        moved(panel(part, scales[part.tune], across - LEFT), n * (across + GAP) + LEFT, down)
        for n, part in enumerate(row.parts)
    )
    return "".join((*_titles(row, across), *panels))


def _titles(row: Row, across: float) -> Iterator[str]:
    for start, end in pairwise((*row.first, len(row.parts))):
        part = row.parts[start]
        goal = "" if part.goal is None else f", {float(part.goal):g} to reach"
        words = f"{part.title}{goal}"
        size = fitting(words, TITLE_SIZE, (end - start) * (across + GAP) - GAP)
        yield text(words, start * (across + GAP), TITLE - 5, size)


def legend(width: float) -> str:
    """Return what the dots and the dashes say, ended at the right."""
    x = width - LEGEND
    return "".join(
        (
            dot((x, -2.4), LARGE),
            text("clean", x + 5, 0, SIZE),
            dot((x + 34, -2.4), LARGE, hollow=True),
            text("not clean yet", x + 39, 0, SIZE),
            line((x + 93, -2.4), (x + 106, -2.4), 0.9, ink=ACCENT, dashes="3 2"),
            text("to reach", x + 110, 0, SIZE),
        )
    )


def panel(part: Part, scale: Scale, width: float) -> str:
    """Draw one part from its upper left corner, its name over it."""
    best = "" if part.best is None else f"clean up to {float(part.best):g}"
    crosses = scale.since.year != scale.until.year
    first, last = (short(day, year=crosses) for day in (scale.since, scale.until))
    return "".join(
        (
            text(part.part.replace(">", " \u2192 "), 0, -3, NAME_SIZE),
            text(best, width, -3, SIZE, anchor="end", style="italic"),
            *_rules(scale, width),
            *_goal(part, scale, width),
            *_marks(part, scale, width),
            text(first, 0, HEIGHT + 9, SIZE),
            text(last, width, HEIGHT + 9, SIZE, anchor="end"),
        )
    )


def _rules(scale: Scale, width: float) -> Iterator[str]:
    for tempo in range(scale.low, scale.high + 1, scale.step):
        y = scale.up(tempo)
        yield line((0, y), (width, y), 0.4, ink=GREY)
        yield text(str(tempo), -3, y + 2.2, SIZE, anchor="end")


def _goal(part: Part, scale: Scale, width: float) -> Iterator[str]:
    if part.goal is not None:
        y = scale.up(part.goal)
        yield line((0, y), (width, y), 0.9, ink=ACCENT, dashes="3 2")


def _marks(part: Part, scale: Scale, width: float) -> Iterator[str]:
    clean = [scale.place(mark, width) for mark in part.clean]
    if len(clean) > 1:
        yield way(clean)
    for mark in part.marks:
        yield dot(scale.place(mark, width), scale.radius, hollow=not mark.clean)
