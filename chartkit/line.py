"""A single line of spelled notes over the changes, before anyone performs or fingers it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from chartkit.harmony import Span
from chartkit.theory.pitch import Pitch


@dataclass(frozen=True, slots=True)
class LineNote:
    """A note (or a rest) of a line.

    Parameters
    ----------
    start, length : Fraction
        In quarter notes from the line's start.
    pitch : Pitch or None
        None is a rest.
    role : str
        What the note is to its chord: "root", "third", "fifth", "seventh", "approach", ...
    tie : bool
        It is tied to the next note, which has the same pitch.
    """

    start: Fraction
    length: Fraction
    pitch: Pitch | None
    role: str = ""
    tie: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """Notes in order of time, without gaps, and the spans they were made for."""

    notes: tuple[LineNote, ...]
    spans: tuple[Span, ...]
