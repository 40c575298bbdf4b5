"""The terms of a line: where it may go, how it sets out, and what its player chose."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from chartkit.line_options import NO_CHOICE, LineOptions


@dataclass(frozen=True, slots=True)
class Terms:
    """What every kind of line is told.

    Parameters
    ----------
    low, high : int
        MIDI note numbers of the range, both included.
    start : int or None
        MIDI note number to start on, or near; None leaves it to the kind.
    value : Fraction
        Length of a note in quarter notes.
    upward : bool
        The first direction.
    options : LineOptions
    """

    low: int
    high: int
    start: int | None = None
    value: Fraction = Fraction(1, 2)
    upward: bool = True
    options: LineOptions = NO_CHOICE
