"""What an etude is told, and what it gives."""

from __future__ import annotations

from dataclasses import dataclass

from chartkit.form import BarId
from chartkit.line import Line
from chartkit.phrase.etude_grades import Grade


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
