"""The connected arpeggio: one unbroken run of chord tones through the changes.

Conventions: the line goes in one direction; the next note is the nearest chord tone (see
`chartkit.exercise.tones`) of the chord now sounding strictly beyond the last note, and where the
range holds none the line turns round. A change of chord by itself turns nothing, and at the rim a
line that turns never repeats its note.

Notes are written on the beat: the chord tones change exactly where the chord is written, also
where the band pushes it an eighth early. Over N.C. the line rests, and afterwards goes on from
where it was.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from chartkit.errors import CannotPlay, RequestError
from chartkit.exercise.onsets import onsets
from chartkit.exercise.tones import ChordTone, line_tones, note_words
from chartkit.harmony import Span
from chartkit.line import Line, LineNote


def connected(
    spans: Sequence[Span],
    low: int,
    high: int,
    *,
    start: int | None = None,
    value: Fraction = Fraction(1, 2),
    upward: bool = True,
) -> Line:
    """Return the connected arpeggio through some changes.

    Parameters
    ----------
    spans : sequence of Span
    low, high : int
        MIDI note numbers of the range, both included.
    start : int, optional
        MIDI note number within the range. The line begins on it, or on the first chord's nearest
        tone (of two equally near, the lower). By default it begins on the first chord's lowest
        root in the range, going down on its highest; where the range holds no root, on the
        lowest or highest tone.
    value : Fraction
        Length of a note in quarter notes; every span is filled by a whole number of them.
    upward : bool
        The first direction.

    Raises
    ------
    RequestError
        The start lies outside the range.
    CannotPlay
        A chord has fewer than two tones in the range, the note value does not fill a span, or
        there is no chord at all.
    """
    if start is not None and not low <= start <= high:
        raise RequestError(
            f"the start {note_words(start)} lies outside the range "
            f"{note_words(low)} to {note_words(high)}"
        )
    if all(span.chord is None for span in spans):
        raise CannotPlay("there is no chord here to play a line on")
    return Line(
        tuple(_walk(spans, low, high, start=start, value=value, upward=upward)), tuple(spans)
    )


def _walk(
    spans: Sequence[Span],
    low: int,
    high: int,
    *,
    start: int | None,
    value: Fraction,
    upward: bool,
) -> Iterator[LineNote]:
    last: ChordTone | None = None
    for span in spans:
        if span.chord is None:
            yield LineNote(span.start, span.length, None)
            continue
        tones = line_tones(span, span.chord, low, high)
        for beat in onsets(span, value):
            if last is None:
                last = _first(tones, start, upward=upward)
            else:
                last, upward = _next(tones, last, upward)
            yield LineNote(beat, value, last.pitch, last.role)


def _first(tones: Sequence[ChordTone], start: int | None, *, upward: bool) -> ChordTone:
    if start is None:
        from_the_rim = tones if upward else tones[::-1]
        return next((tone for tone in from_the_rim if tone.role == "root"), from_the_rim[0])
    return min(tones, key=lambda tone: (abs(tone.midi - start), tone.midi))


def _next(tones: Sequence[ChordTone], last: ChordTone, upward: bool) -> tuple[ChordTone, bool]:
    """Return the next tone and the direction it lies in; with two tones one always lies beyond."""
    above = [tone for tone in tones if tone.midi > last.midi]
    below = [tone for tone in tones if tone.midi < last.midi]
    upward = bool(above) if upward else not below
    return (above[0] if upward else below[-1]), upward
