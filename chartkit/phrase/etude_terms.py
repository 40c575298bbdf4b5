"""What an etude is told, and what it gives."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final, TypeAlias

from chartkit.form import BarId
from chartkit.harmony import Span
from chartkit.line import Line
from chartkit.phrase.etude_grades import Grade

LONGEST: Final = 2
"""Bars in a stretch."""

OFTEN: Final = 0.5
"""How likely a phrase is to be played where it fits, and a breath to be taken where none need be.
"""

Bar: TypeAlias = tuple[Span, ...]


def bar_end(bar: Bar) -> Fraction:
    """Return where a bar ends."""
    return bar[-1].start + bar[-1].length


@dataclass(frozen=True, slots=True)
class EtudeTerms:
    """How hard an etude is and where it may go; `low` and `high` are MIDI notes, both included."""

    grade: Grade
    low: int
    high: int


@dataclass(frozen=True, slots=True)
class EtudePart:
    """A stretch of an etude: the bar it begins in, how many bars, and what it plays there."""

    bar: BarId
    bars: int
    what: str


@dataclass(frozen=True, slots=True)
class Etude:
    """A line over some changes and the stretches that it was joined from, in order of time."""

    line: Line
    parts: tuple[EtudePart, ...]
