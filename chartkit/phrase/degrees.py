"""Notes as degrees of the chord that they are played over.

Conventions: a degree follows the spelling: E flat over C7 is a flat third, D sharp a sharp nine. A
second, fourth or sixth is called so where the chord itself has it under that number, else nine,
eleven or thirteen [common practice, no source].
"""

from __future__ import annotations

from typing import Final

from chartkit.theory.chord import Chord
from chartkit.theory.pitch import LETTERS, MAJOR_STEPS, Degree, NoteName

_OCTAVE: Final = 7
_UPPER: Final = {2: 9, 4: 11, 6: 13}
"""What a step is called above the octave."""


def step_of(root: NoteName, name: NoteName) -> Degree:
    """Return a note as a degree from 1 to 7 above a root, by its letter.

    >>> str(step_of(NoteName("E"), NoteName("F", 2)))
    '#2'
    """
    step = (LETTERS.index(name.letter) - LETTERS.index(root.letter)) % _OCTAVE
    distance = name.pitch_class - root.pitch_class - MAJOR_STEPS[step]
    return Degree(step + 1, (distance + 6) % 12 - 6)


def degree_of(chord: Chord, name: NoteName) -> Degree:
    """Return a note as a degree of a chord.

    >>> from chartkit.theory.symbol import read_symbol
    >>> c7, c6 = read_symbol("C7").chord, read_symbol("C6").chord
    >>> str(degree_of(c7, NoteName("A"))), str(degree_of(c6, NoteName("A")))
    ('13', '6')
    """
    step = step_of(chord.root, name)
    upper = _UPPER.get(step.number)
    if upper is None or any(own.number == step.number for own in chord.degrees):
        return step
    return Degree(upper, step.alter)


def is_chord_tone(chord: Chord, name: NoteName) -> bool:
    """Tell whether a note sounds like the root, third, fifth or seventh (or sixth) of a chord."""
    root = chord.root.pitch_class
    return name.pitch_class in {(root + d.semitones) % 12 for d in chord.essential}
