"""Tempo over time, a small panel for each part of a tune, all of a tune on one scale.

A filled dot is a clean run, a ring one that was not clean yet; the dashed line is the tempo to
reach.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import ceil, floor
from typing import Final

from chartkit.output.blocks import text
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

SIZE: Final = 7.0
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


def rows(parts: Sequence[Part], scale: Scale, width: float) -> Iterator[str]:
    """Yield rows of panels, each as a drawing `height` high."""
    across = (width - (COLUMNS - 1) * GAP) / COLUMNS
    for first in range(0, len(parts), COLUMNS):
        yield "".join(
            moved(panel(part, scale, across - LEFT), n * (across + GAP) + LEFT, NAME)
            for n, part in enumerate(parts[first : first + COLUMNS])
        )


def height() -> float:
    """Return the height of a row of panels."""
    return NAME + HEIGHT + FOOT


def legend(width: float) -> str:
    """Return what the dots say, ended at the right."""
    return "".join(
        (
            dot((width - 82, -2.4), LARGE),
            text("clean", width - 77, 0, SIZE),
            dot((width - 45, -2.4), LARGE, hollow=True),
            text("not clean yet", width, 0, SIZE, anchor="end"),
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
