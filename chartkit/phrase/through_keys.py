"""One phrase in several keys, one after the other, as one long phrase.

Conventions: the keys follow each other round the cycle of fourths (C F Bb ...) from the phrase's
own, unless they are named. A pick-up takes the last beats of the key before; where the phrase
sounds to its end, bars of its last chord make room for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import chain, count
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.exercise.tones import note_words
from chartkit.phrase.chart import key_of, looped
from chartkit.phrase.phrase import Phrase, PhraseChord, PhraseNote
from chartkit.phrase.shape import range_of
from chartkit.phrase.transpose import distance, transpose_phrase
from chartkit.phrase.values import Heard, as_written, heard
from chartkit.theory.key import Key

FOURTH: Final = 5
_OCTAVE: Final = 12


def cycle(home: Key, keys: int = 12) -> tuple[Key, ...]:
    """Return so many keys round the cycle of fourths, a phrase's own first."""
    others = (
        Key.written((home.tonic.pitch_class + FOURTH * step) % _OCTAVE, home.mode)
        for step in count(1)
    )
    return (home, *(next(others) for _ in range(keys - 1)))


def through_keys(phrase: Phrase, keys: Sequence[Key], low: int, high: int) -> Phrase:
    """Return a phrase in each of some keys in turn, each within a range, as one phrase.

    Parameters
    ----------
    phrase : Phrase
    keys : sequence of Key
        At least one; the phrase keeps its mode.
    low, high : int
        MIDI note numbers, both included.

    Raises
    ------
    CannotPlay
        In some key it does not lie within the range.
    """
    room = looped(phrase)
    moved = [_in_key(room, key, low, high) for key in keys]
    starts = [n * room.length for n in range(len(moved))]
    tones = list(
        chain.from_iterable(_later(one, at) for one, at in zip(moved, starts, strict=True))
    )
    chords = tuple(
        PhraseChord(one.start + at, one.length, one.chord)
        for each, at in zip(moved, starts, strict=True)
        for one in each.chords
    )
    return replace(
        phrase,
        key=moved[0].key,
        notes=_written(tones, phrase, starts[-1] + room.length),
        chords=chords,
        comments=(),
        lines=(),
    )


def _in_key(phrase: Phrase, key: Key, low: int, high: int) -> Phrase:
    """Return a phrase in a key, the nearest way that lies within the range."""
    nearest = distance(key_of(phrase), key)
    extent = range_of(phrase)
    for octaves in (0, -1, 1, -2, 2, -3, 3):
        semitones = nearest + octaves * _OCTAVE
        if not extent or (extent[0].midi + semitones >= low and extent[1].midi + semitones <= high):
            return transpose_phrase(phrase, key, semitones)
    raise CannotPlay(
        f"in {key} the phrase does not lie between {note_words(low)} and {note_words(high)}: "
        "give it more room, or leave the position free"
    )


def _later(phrase: Phrase, start: Fraction) -> Iterator[Heard]:
    for note in heard(phrase.notes):
        if note.pitch:
            yield Heard(note.start + start, note.length, note.pitch)


def _written(tones: Sequence[Heard], phrase: Phrase, end: Fraction) -> tuple[PhraseNote, ...]:
    """Write tones in note values, from the first one's pick-up on, rests before them filled in."""
    first = -phrase.pickup
    silent = tones[0].start - first if tones else Fraction(0)
    lead = (Heard(first, silent, None),) if silent else ()
    return as_written((*lead, *tones), phrase.meter, end)
