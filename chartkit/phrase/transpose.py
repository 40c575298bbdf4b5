"""Moving a phrase to another key, every note the same degree of its chord as before.

Conventions: chords move as those of a chart do. A note is spelled by its degree over its chord, so
that degrees are alike in every key; where there is no chord it keeps its letter's distance from the
key. A note that is tied to has the name of the note before the tie.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from chartkit.phrase.chart import key_of
from chartkit.phrase.degrees import step_of
from chartkit.phrase.phrase import Phrase, PhraseNote
from chartkit.phrase.pitches import chord_at, degree_name
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName, Pitch
from chartkit.transpose import transpose_chord, transpose_name

_OCTAVE = 12


def distance(home: Key, goal: Key) -> int:
    """Return the semitones from one key's tonic to the nearest of another's, -5 to 6."""
    return (goal.tonic.pitch_class - home.tonic.pitch_class + 5) % _OCTAVE - 5


def transpose_phrase(phrase: Phrase, goal: Key, semitones: int | None = None) -> Phrase:
    r"""Move a phrase to another key under the name it is given; its mode stays.

    A phrase without a key gets one.

    Parameters
    ----------
    phrase : Phrase
    goal : Key
    semitones : int, optional
        How far its notes move, which must lead to the key; the nearest way by default.

    Raises
    ------
    ValueError
        So many semitones lead to another key.

    Examples
    --------
    >>> from chartkit.phrase.reader import parse
    >>> phrase = parse("Key: C\nChords: C7\nMelody: q C4 Db4", "x").phrase
    >>> moved = transpose_phrase(phrase, Key.written(10, "major"))
    >>> [str(note.pitch) for note in moved.notes if note.pitch]
    ['Bb3', 'Cb4']
    """
    home = key_of(phrase)
    goal = replace(goal, mode=home.mode)
    way = distance(home, goal) if semitones is None else semitones
    if (way - distance(home, goal)) % _OCTAVE:
        raise ValueError(f"{way} semitones do not lead from {home} to {goal}")
    chords = tuple(
        replace(one, chord=one.chord and transpose_chord(one.chord, home, goal))
        for one in phrase.chords
    )
    moved = replace(phrase, key=goal, chords=chords)
    return replace(moved, notes=tuple(_notes(phrase, moved, home, goal, way)))


def _notes(
    phrase: Phrase, moved: Phrase, home: Key, goal: Key, semitones: int
) -> Iterator[PhraseNote]:
    tied: Pitch | None = None
    for note in phrase.notes:
        if note.pitch is None:
            yield note
            continue
        name = _name(note, phrase, moved, home, goal)
        pitch = tied or Pitch.at(name, note.pitch.midi + semitones)
        yield replace(note, pitch=pitch)
        tied = pitch if note.tie else None


def _name(note: PhraseNote, phrase: Phrase, moved: Phrase, home: Key, goal: Key) -> NoteName:
    assert note.pitch, "a rest has no name"
    before, after = chord_at(phrase.chords, note.start), chord_at(moved.chords, note.start)
    if before and after and before.chord and after.chord:
        return degree_name(after.chord, step_of(before.chord.root, note.pitch.name))
    return transpose_name(note.pitch.name, home, goal)
