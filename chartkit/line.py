"""A single line of spelled notes over the changes, before anyone performs or fingers it.

Conventions: time is in quarter notes on the clock of the line's spans, so that a line over an
excerpt starts at zero and one over a pickup below it.

A line without a tune stands on spans as well. They have its key and always a scale, and no chord
where nothing but that scale is practised; where a chart says N.C. there is neither. Such a span is
never `new`, and nothing is printed over it.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace
from fractions import Fraction

from chartkit.harmony import Span
from chartkit.theory.pitch import Pitch


@dataclass(frozen=True, slots=True)
class LineNote:
    """A note (or a rest) of a line.

    Parameters
    ----------
    start, length : Fraction
        In quarter notes.
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
class Tone:
    """A note as it is heard; `start`, `length` and `end` in quarter notes."""

    start: Fraction
    length: Fraction
    pitch: Pitch

    @property
    def end(self) -> Fraction:
        """Where it stops."""
        return self.start + self.length


@dataclass(frozen=True, slots=True)
class Line:
    """Notes in order of time, without gaps, and the spans they were made for."""

    notes: tuple[LineNote, ...]
    spans: tuple[Span, ...]


def span_at(line: Line, beat: Fraction) -> Span:
    """Return the span that sounds at a beat within the line."""
    return line.spans[bisect_right(line.spans, beat, key=lambda span: span.start) - 1]


def sounding(line: Line) -> tuple[Tone, ...]:
    """Return the notes as they are heard: rests left out, tied notes joined into one."""
    tones: list[Tone] = []
    tied = False
    for note in line.notes:
        if tied:
            tones[-1] = replace(tones[-1], length=tones[-1].length + note.length)
        elif note.pitch:
            tones.append(Tone(note.start, note.length, note.pitch))
        tied = note.tie
    return tuple(tones)
