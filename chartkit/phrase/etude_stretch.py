"""One stretch of an etude: a kind of exercise over a bar or two, begun where the line already is.

Conventions: a stretch begins on a chord tone that it is given and ends on a chord tone; what comes
after that is left out and the last note is held instead, no longer than its chord. Its strong beats
carry what `chartkit.phrase.strong` lets them, and it leaps no wider than an octave.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from random import Random
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.exercise import KINDS, line_through
from chartkit.exercise.terms import Terms
from chartkit.exercise.tones import ChordTone, chord_tones
from chartkit.harmony import Span
from chartkit.line import LineNote
from chartkit.line_options import LineOptions
from chartkit.phrase.degrees import is_chord_tone
from chartkit.phrase.etude_grades import fitted_value
from chartkit.phrase.etude_terms import EtudeTerms
from chartkit.phrase.strong import stands, strong_beats

OCTAVE: Final = 12
ALWAYS: Final = "connected"
"""The kind that begins on any chord tone."""


def first_tone(
    spans: Sequence[Span], terms: EtudeTerms, midi: int, *, other: bool
) -> ChordTone | None:
    """Return the tone of the first chord nearest to a note, of two the lower; None without chords.

    Parameters
    ----------
    spans : sequence of Span
    terms : EtudeTerms
    midi : int
        MIDI note number.
    other : bool
        It must be another note.
    """
    chord = next((span.chord for span in spans if span.chord), None)
    if chord is None:
        return None
    tones = chord_tones(chord, terms.low, terms.high)
    usable = (tone for tone in tones if not (other and tone.midi == midi))
    return min(usable, key=lambda tone: (abs(tone.midi - midi), tone.midi))


def stretch(
    spans: Sequence[Span], terms: EtudeTerms, start: int, end: Fraction, rng: Random
) -> tuple[tuple[LineNote, ...], str]:
    """Return the notes of a stretch, and the title of its kind.

    Parameters
    ----------
    spans : sequence of Span
        With a chord at least.
    terms : EtudeTerms
    start : int
        MIDI note number of a tone of the first chord.
    end : Fraction
        No note sounds after it.
    rng : Random
    """
    values = [fitted_value(value, spans[0].meter) for value in terms.grade.values]
    choices = [(kind, value) for kind in terms.grade.kinds for value in values]
    rng.shuffle(choices)
    upward = start <= (terms.low + terms.high) / 2
    for kind, value in (*choices, *((ALWAYS, value) for value in values)):
        asked = Terms(terms.low, terms.high, start, value, upward, LineOptions())
        try:
            line = line_through(spans, kind, asked)
        except CannotPlay:
            continue
        notes = tuple(_ended([note for note in line.notes if note.pitch], spans, end))
        if not notes or _is_well_made(notes, spans, start):
            return notes, KINDS[kind].title
    raise AssertionError("a connected arpeggio begins on any chord tone and has nothing else")


def _ended(notes: Sequence[LineNote], spans: Sequence[Span], end: Fraction) -> list[LineNote]:
    """Return notes up to the last chord tone that begins before the end, held as it may be."""
    kept = [note for note in notes if note.start < end]
    while kept and not _is_in_chord(kept[-1], spans):
        kept.pop()
    if not kept:
        return []
    last = kept[-1]
    length = min(last.length, end - last.start)
    if (last.start * 2).denominator == 1:
        length = min(end, _chord_end(last.start, spans)) - last.start
    return [*kept[:-1], replace(last, length=length)]


def _is_in_chord(note: LineNote, spans: Sequence[Span]) -> bool:
    chord = _span(note.start, spans).chord
    return bool(chord and note.pitch and is_chord_tone(chord, note.pitch.name))


def _chord_end(beat: Fraction, spans: Sequence[Span]) -> Fraction:
    """Return where the chord ends that stands at a beat."""
    chord = _span(beat, spans).chord
    later = (span.start for span in spans if span.start > beat and span.chord != chord)
    return next(later, spans[-1].start + spans[-1].length)


def _span(beat: Fraction, spans: Sequence[Span]) -> Span:
    return next(span for span in reversed(spans) if span.start <= beat)


def _is_well_made(notes: Sequence[LineNote], spans: Sequence[Span], start: int) -> bool:
    midi = [note.pitch.midi for note in notes if note.pitch]
    leaps = all(abs(b - a) <= OCTAVE for a, b in pairwise(midi))
    return midi[0] == start and leaps and all(_standing(notes, spans))


def _standing(notes: Sequence[LineNote], spans: Sequence[Span]) -> Iterator[bool]:
    for beat in strong_beats(spans):
        for note in notes:
            if note.start <= beat < note.start + note.length and note.pitch:
                yield stands(note.pitch, _span(beat, spans))
