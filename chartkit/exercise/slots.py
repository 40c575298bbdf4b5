"""Where the notes of a line fall: slots of time, each with the chord that its note belongs to.

Conventions: times are in quarter notes on the clock of the spans. A span is a whole number of its
meter's beats and starts on one. There is no slot over N.C.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import count, pairwise

from chartkit.errors import CannotPlay
from chartkit.exercise.tones import ChordTone
from chartkit.harmony import Span
from chartkit.line import Line, LineNote
from chartkit.theory.chord import Chord


@dataclass(frozen=True, slots=True)
class Slot:
    """Time for one note, and the span whose chord it takes."""

    start: Fraction
    length: Fraction
    span: Span
    chord: Chord

    @property
    def end(self) -> Fraction:
        """Where it stops."""
        return self.start + self.length

    def note(self, tone: ChordTone) -> LineNote:
        """Return the note that fills it."""
        return LineNote(self.start, self.length, tone.pitch, tone.role)


def one_each(spans: Iterable[Span]) -> tuple[Slot, ...]:
    """Return one slot for every span that has a chord."""
    return tuple(Slot(s.start, s.length, s, s.chord) for s in spans if s.chord)


def even(spans: Iterable[Span], value: Fraction) -> tuple[Slot, ...]:
    """Return slots of one length that fill the spans.

    Parameters
    ----------
    spans : iterable of Span
    value : Fraction
        Length of a note in quarter notes.

    Raises
    ------
    CannotPlay
        A span is not a whole number of such notes.
    """
    return tuple(
        Slot(whole.start + number * value, value, whole.span, whole.chord)
        for whole in one_each(spans)
        for number in range(_filled(whole.span, value))
    )


def on_beats(spans: Iterable[Span], value: Fraction, notes: int) -> tuple[Slot, ...]:
    """Return slots that start on beats, the first of each chord among them.

    Each lasts the fewest whole beats that hold so many notes of `value` and no part of one; the
    last of a chord takes what is left over, and a chord too short for one slot is one itself.

    Parameters
    ----------
    spans : iterable of Span
    value : Fraction
        Length of a note in quarter notes.
    notes : int
        How many of them a slot should have room for.

    Raises
    ------
    CannotPlay
        A span is not a whole number of such notes.
    """
    return tuple(slot for whole in one_each(spans) for slot in _beats(whole, value, notes))


def _beats(whole: Slot, value: Fraction, notes: int) -> Iterator[Slot]:
    _filled(whole.span, value)
    beat = whole.span.meter.unit
    beats = next(n for n in count(1) if _holds(n * beat / value, notes))
    times = max(int(whole.length // (beats * beat)), 1)
    starts = (whole.start + n * beats * beat for n in range(times))
    for start, end in pairwise([*starts, whole.end]):
        yield Slot(start, end - start, whole.span, whole.chord)


def _holds(room: Fraction, notes: int) -> bool:
    return room >= notes and room.denominator == 1


def by_chord(slots: Iterable[Slot]) -> Iterator[tuple[Slot, ...]]:
    """Yield the slots of each chord together; a rest parts them too."""
    group: list[Slot] = []
    for slot in slots:
        if group and (slot.chord != group[-1].chord or slot.start != group[-1].end):
            yield tuple(group)
            group = []
        group.append(slot)
    if group:
        yield tuple(group)


def resting(notes: Iterable[LineNote], spans: Sequence[Span]) -> Line:
    """Return notes (in order of time) as a line that rests wherever none sounds.

    No rest goes over the end of a span.
    """
    played = tuple(notes)
    starts = [span.start for span in spans]
    end = spans[-1].start + spans[-1].length
    edges = [starts[0], *(edge for n in played for edge in (n.start, n.start + n.length)), end]
    rests = (
        LineNote(first, last - first, None)
        for gap in zip(edges[::2], edges[1::2], strict=True)
        for first, last in pairwise(_cut(*gap, starts))
    )
    return Line(tuple(sorted((*played, *rests), key=lambda note: note.start)), tuple(spans))


def _cut(first: Fraction, last: Fraction, starts: Sequence[Fraction]) -> list[Fraction]:
    """Return the ends of a stretch and the starts within it; nothing where it has no length."""
    if first == last:
        return []
    inside = starts[bisect_right(starts, first) : bisect_left(starts, last)]
    return [first, *inside, last]


def _filled(span: Span, value: Fraction) -> int:
    """Return how many notes fill a span."""
    notes = span.length / value
    if notes.denominator != 1:
        raise CannotPlay(
            f"bar {span.bar.number}: a chord of {quarters(span.length)} is not filled by notes of "
            f"{quarters(value)}; choose another note value"
        )
    return notes.numerator


def quarters(length: Fraction) -> str:
    """Return a length in words of a player.

    >>> quarters(Fraction(3, 2)), quarters(Fraction(1))
    ('1 1/2 quarter notes', '1 quarter note')
    """
    whole, rest = divmod(length, 1)
    number = " ".join(str(part) for part in (whole, rest) if part)
    return f"{number} quarter note{'s' if length > 1 else ''}"
