"""Scales by their trade names.

Conventions: degrees are counted against the major scale of the same root, in rising order, all
within the octave. Names and degrees: common practice, no source; the tests compare the pitches with
an independent library.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from chartkit.theory.pitch import Degree, NoteName, degrees

SCALES: Final = {
    "ionian": degrees("1 2 3 4 5 6 7"),
    "dorian": degrees("1 2 b3 4 5 6 b7"),
    "phrygian": degrees("1 b2 b3 4 5 b6 b7"),
    "lydian": degrees("1 2 3 #4 5 6 7"),
    "mixolydian": degrees("1 2 3 4 5 6 b7"),
    "aeolian": degrees("1 2 b3 4 5 b6 b7"),
    "locrian": degrees("1 b2 b3 4 b5 b6 b7"),
    "melodic minor": degrees("1 2 b3 4 5 6 7"),
    "lydian augmented": degrees("1 2 3 #4 #5 6 7"),
    "lydian dominant": degrees("1 2 3 #4 5 6 b7"),
    "mixolydian b6": degrees("1 2 3 4 5 b6 b7"),
    "locrian natural 2": degrees("1 2 b3 4 b5 b6 b7"),
    "altered": degrees("1 b2 #2 3 #4 b6 b7"),
    "harmonic minor": degrees("1 2 b3 4 5 b6 7"),
    "phrygian dominant": degrees("1 b2 3 4 5 b6 b7"),
    "whole tone": degrees("1 2 3 #4 #5 b7"),
    "half-whole": degrees("1 b2 #2 3 #4 5 6 b7"),
    "whole-half": degrees("1 2 b3 4 b5 b6 bb7 7"),
}
"""Degrees by name: the modes of the major scale, then melodic and harmonic minor with those of
their modes that chords call for, then the symmetric scales."""


@dataclass(frozen=True, slots=True)
class Scale:
    """A root and its degrees in rising order, all within the octave; `name` is the trade's."""

    name: str
    root: NoteName
    degrees: tuple[Degree, ...]

    @classmethod
    def on(cls, root: NoteName, name: str) -> Scale:
        """Return a scale of `SCALES` on a root; KeyError for a name that is not there."""
        return cls(name, root, SCALES[name])

    @property
    def tones(self) -> tuple[NoteName, ...]:
        """The notes in rising order, spelled by their degrees."""
        return tuple(self.root.up(degree) for degree in self.degrees)

    @property
    def pitch_classes(self) -> frozenset[int]:
        """Pitch classes, 0-11."""
        root = self.root.pitch_class
        return frozenset((root + degree.semitones) % 12 for degree in self.degrees)
