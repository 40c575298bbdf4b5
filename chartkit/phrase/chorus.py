"""A phrase played at its places in a tune: one line over the tune's changes, with rests between.

Conventions: every note keeps its degree over the chord, and so its spelling; the whole phrase moves
by one distance, the nearest that lies within the range. A pick-up for which the tune has no room
before its first beat is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.exercise.tones import note_words
from chartkit.harmony import Span
from chartkit.line import Line, LineNote
from chartkit.phrase.degrees import step_of
from chartkit.phrase.phrase import Phrase, PhraseChord
from chartkit.phrase.pitches import chord_at, degree_name
from chartkit.phrase.places import PlaceInTune
from chartkit.phrase.shape import range_of
from chartkit.phrase.values import Heard, heard
from chartkit.study.standing import interval
from chartkit.theory.pitch import Pitch

_OCTAVE: Final = 12


def chorus_line(
    phrase: Phrase,
    chosen: Sequence[PlaceInTune],
    spans: tuple[Span, ...],
    low: int,
    high: int,
) -> Line:
    """Return a line over all the spans that plays a phrase at places that do not overlap.

    Parameters
    ----------
    phrase : Phrase
    chosen : sequence of PlaceInTune
        In order of time; see `chartkit.phrase.places.without_overlap`.
    spans : tuple of Span
        Of the tune that the places were found in.
    low, high : int
        MIDI note numbers, both included.

    Raises
    ------
    CannotPlay
        In some key the phrase does not lie within the range.
    """
    first, end = spans[0].start, spans[-1].start + spans[-1].length
    tones = (tone for place in chosen for tone in placed(phrase, place, low, high))
    kept = [tone for tone in tones if tone.start >= first]
    return Line(tuple(_with_rests(kept, first, end)), spans)


def placed(phrase: Phrase, place: PlaceInTune, low: int, high: int) -> tuple[Heard, ...]:
    """Return the notes of a phrase at a place in a tune, on the tune's clock.

    Raises
    ------
    CannotPlay
        The phrase does not lie within the range there.
    """
    semitones = _distance(phrase, place, low, high)
    return tuple(
        Heard(
            place.start + note.start * place.stretch,
            note.length * place.stretch,
            _moved(note.pitch, phrase, place, note.start, semitones),
        )
        for note in heard(phrase.notes)
        if note.pitch
    )


def _distance(phrase: Phrase, place: PlaceInTune, low: int, high: int) -> int:
    """Return how many semitones a phrase moves: to the chord's root, and into the range."""
    own = _first(phrase.chords)
    here = chord_at(place.chords, place.start + own.start * place.stretch)
    assert own.chord, "chosen for its chord"
    assert here, "a place has chords"
    assert here.chord, "of the same kind as the phrase's"
    nearest = (interval(own.chord, here.chord) + 5) % _OCTAVE - 5
    lowest, highest = range_of(phrase) or (None, None)
    if lowest is None or highest is None:
        return nearest
    ways = (nearest + octaves * _OCTAVE for octaves in (0, -1, 1, -2, 2, -3, 3))
    fitting = (w for w in ways if lowest.midi + w >= low and highest.midi + w <= high)
    found = next(fitting, None)
    if found is None:
        raise CannotPlay(
            f"the phrase does not lie between {note_words(low)} and {note_words(high)} at bar "
            f"{place.bar.number}: give it more room, or leave the position free"
        )
    return found


def _moved(
    pitch: Pitch, phrase: Phrase, place: PlaceInTune, beat: Fraction, semitones: int
) -> Pitch:
    """Return a note of the phrase with the name that its degree has over the tune's chord."""
    before = chord_at(phrase.chords, beat)
    after = chord_at(place.chords, place.start + beat * place.stretch)
    assert before, "a phrase that has places has chords"
    assert after, "and so has a place"
    if not (before.chord and after.chord):  # N.C. in both: as over the nearest chord
        before, after = _first(phrase.chords), _first(place.chords)
    assert before.chord, "some chord was wanted"
    assert after.chord, "and found"
    name = degree_name(after.chord, step_of(before.chord.root, pitch.name))
    return Pitch.at(name, pitch.midi + semitones)


def _first(chords: Sequence[PhraseChord]) -> PhraseChord:
    return next(one for one in chords if one.chord)


def _with_rests(tones: Iterable[Heard], first: Fraction, end: Fraction) -> Iterator[LineNote]:
    """Yield tones as a line's notes, the rests between them filled in."""
    here = first
    for tone in tones:
        if tone.start > here:
            yield LineNote(here, tone.start - here, None)
        yield LineNote(tone.start, tone.length, tone.pitch)
        here = tone.end
    if here < end:
        yield LineNote(here, end - here, None)
