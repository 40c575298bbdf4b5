"""Keys: a tonic and a mode, and how they are written.

Source of the names written for each pitch class: the chart language's own list (common practice:
the name with the fewest accidentals, with G flat and E flat minor preferred to their equals).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from chartkit.theory.pitch import NoteName

Mode = Literal["major", "minor"]

WRITTEN: Final[dict[str, tuple[str, ...]]] = {
    "major": ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"),
    "minor": ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"),
}
"""The tonic's name for each pitch class from C, by mode."""

MOST_SIGNS: Final = 7
"""Sharps or flats in a key signature."""

_FIFTHS: Final = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}


@dataclass(frozen=True, slots=True)
class Key:
    """A tonic and a mode."""

    tonic: NoteName
    mode: Mode = "major"

    @property
    def fifths(self) -> int:
        """Accidentals in the key signature: sharps above zero, flats below."""
        minor = 3 if self.mode == "minor" else 0
        return _FIFTHS[self.tonic.letter] + 7 * self.tonic.alter - minor

    def __str__(self) -> str:
        return f"{self.tonic} {self.mode}"

    @property
    def customary(self) -> Key:
        """The key itself where a signature can be written for it, else under its customary name."""
        if abs(self.fifths) <= MOST_SIGNS:
            return self
        return Key.written(self.tonic.pitch_class, self.mode)

    @classmethod
    def written(cls, pitch_class: int, mode: Mode) -> Key:
        """Return the key on a pitch class under its customary name."""
        return cls(NoteName.parse(WRITTEN[mode][pitch_class % 12]), mode)
