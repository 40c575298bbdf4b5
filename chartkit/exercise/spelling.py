"""Notes beside the tones of a scale or a chord, and how they are spelled.

Conventions: a chromatic step on the way up is raised, on the way down lowered; a note beside a
target has the next letter. Where the same sound has a natural name, that is written. Double
accidentals print as naturals, so they are gone by as such. [common practice, no source]
"""

from __future__ import annotations

from itertools import count

from chartkit.theory.pitch import LETTERS, NATURAL, NoteName, Pitch
from chartkit.theory.scale import Scale


def between(lower: Pitch, upper: Pitch, *, rising: bool) -> Pitch:
    """Return the semitone between two notes a whole tone apart, on the way up or down.

    >>> c, d = Pitch(NoteName("C"), 4), Pitch(NoteName("D"), 4)
    >>> str(between(c, d, rising=True)), str(between(c, d, rising=False))
    ('C#4', 'Db4')
    """
    name = _printed(lower.name if rising else upper.name)
    altered = NoteName(name.letter, name.alter + (1 if rising else -1))
    return Pitch.at(altered.plain, lower.midi + 1)


def semitone_below(target: Pitch) -> Pitch:
    """Return the note that leads up to a target by a semitone.

    >>> [str(semitone_below(Pitch.parse(name))) for name in ("D4", "Eb4", "F4", "F#4", "Cb4")]
    ['C#4', 'D4', 'E4', 'F4', 'Bb3']
    """
    return _beside(target, target.midi - 1)


def step_above(scale: Scale, target: Pitch) -> Pitch:
    """Return the next tone of a scale above a note, which need not be in it."""
    midi = next(midi for midi in count(target.midi + 1) if midi % 12 in scale.pitch_classes)
    return _beside(target, midi)


def _beside(target: Pitch, midi: int) -> Pitch:
    """Spell a MIDI note number with the letter next to a target's."""
    way = 1 if midi > target.midi else -1
    letter = LETTERS[(LETTERS.index(_printed(target.name).letter) + way) % len(LETTERS)]
    alter = (midi - NATURAL[letter] + 6) % 12 - 6
    return Pitch.at(NoteName(letter, alter).plain, midi)


def _printed(name: NoteName) -> NoteName:
    """Return a name as it stands on the page: double accidentals print as naturals."""
    return name.plain if abs(name.alter) > 1 else name
