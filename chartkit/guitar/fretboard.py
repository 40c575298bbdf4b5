"""The fretboard as data.

Conventions: strings count from 1, the highest-sounding, as players name them; fret 0 is the open
string; fingers are 1 (index) to 4 (little), 0 for an open string. The guitar part is written an
octave above its sound; every number here is sounding pitch.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tuning:
    """Open strings as MIDI numbers from the lowest-sounding to the highest, and the frets."""

    name: str
    open_strings: tuple[int, ...]
    frets: int


@dataclass(frozen=True, slots=True)
class Stop:
    """A note on the neck: where it is stopped and by which finger."""

    string: int
    fret: int
    finger: int


STANDARD = Tuning("standard", (40, 45, 50, 55, 59, 64), 22)
"""Standard guitar tuning, E2 A2 D3 G3 B3 E4 [common practice, no source]."""
