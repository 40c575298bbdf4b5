"""The scale families, and the chords on their degrees.

Conventions: a degree's chord is every other note of the scale from it. Source: common practice, no
source; the tests compare the notes with an independent library.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from chartkit.theory.chord import Chord
from chartkit.theory.key import Key, Mode
from chartkit.theory.pitch import Degree, NoteName
from chartkit.theory.scale import Scale


@dataclass(frozen=True, slots=True)
class Family:
    """A scale whose degrees carry the chords to practise, and the mode of its key signature."""

    name: str
    scale: str
    mode: Mode


FAMILIES: Final = {
    row.name: row
    for row in (
        Family("major", "ionian", "major"),
        Family("melodic minor", "melodic minor", "minor"),
        Family("harmonic minor", "harmonic minor", "minor"),
    )
}
"""Every family by name."""


def scale_of(key: Key, family: Family) -> Scale:
    """Return the scale of a family on a key's tonic."""
    return Scale.on(key.tonic, family.scale)


def diatonic_chord(scale: Scale, step: int, voices: int) -> Chord:
    """Return the chord on a degree of a scale of seven notes.

    A root that would need a double accidental takes its plain name.

    Parameters
    ----------
    scale : Scale
    step : int
        From 0, the tonic; 7 is the tonic again.
    voices : int
        3 for a triad, 4 for a seventh.

    >>> from chartkit.theory.symbol import write_symbol
    >>> minor = Scale.on(NoteName("A"), "harmonic minor")
    >>> [write_symbol(diatonic_chord(minor, step, 4)) for step in (0, 2, 6)]
    ['Am(maj7)', 'Cmaj7#5', 'G#o7']
    """
    tones = scale.tones
    root = tones[step % 7]
    degrees = (_degree(root, tones[(step + 2 * n) % 7], 2 * n + 1) for n in range(voices))
    return Chord(root if abs(root.alter) < 2 else root.plain, tuple(degrees))  # noqa: PLR2004


def _degree(root: NoteName, tone: NoteName, number: int) -> Degree:
    """Return the degree that a tone is, its number given."""
    above = (tone.pitch_class - root.pitch_class) % 12
    return Degree(number, (above - Degree(number).semitones + 6) % 12 - 6)
