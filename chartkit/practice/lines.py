"""The lines through a tune that go round, easier ones first.

Conventions: planning knows a line by its name alone; `chartkit.make_today.lines` says what each one
plays. Level 0 is for learning the parts, level 1 is added by the step "harder lines".
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class PlannedLine:
    """A line's name, the activity that it belongs to, and its level."""

    name: str
    activity: str
    level: int


LINES: Final = tuple(
    PlannedLine(name, activity, level)
    for activity, level, names in (
        (
            "arpeggios",
            0,
            (
                "arpeggios from the root",
                "guide tones",
                "connected arpeggios",
                "arpeggios from the third",
                "connected arpeggios, down",
            ),
        ),
        ("arpeggios", 1, ("arpeggios from third to ninth", "arpeggios, one up and one down")),
        (
            "vocabulary",
            0,
            (
                "cells of four notes",
                "approach notes from below",
                "enclosures",
                "scale runs",
                "a rhythm motif",
            ),
        ),
        ("vocabulary", 1, ("approach notes from above", "triad pairs", "a syncopated motif")),
    )
    for name in names
)


def names(activity: str, level: int) -> tuple[str, ...]:
    """Return the names of an activity's lines up to a level."""
    return tuple(one.name for one in LINES if one.activity == activity and one.level <= level)
