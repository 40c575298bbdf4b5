"""Instruments as data: what an exercise needs to know of the one it is for.

Conventions: low and high are sounding MIDI notes, both included; what is written lies
`transposition` semitones above the sound. A guitar's treble clef with an 8 below already says that
it sounds an octave lower, so its part is not transposed. Ranges are those of a good amateur, clefs
and transpositions the usual ones [common practice, no source].
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from chartkit.guitar.fretboard import STANDARD, Tuning, compass
from chartkit.guitar.tunings import TUNINGS

Clef = Literal["treble", "treble 8", "bass"]
"""The treble clef, the same with an 8 below, and the bass clef."""


@dataclass(frozen=True, slots=True)
class Instrument:
    """An instrument.

    Parameters
    ----------
    name : str
    tuning : Tuning or None
        None where there are no frets: then exercises have neither tablature nor fingers.
    low, high : int
    clef : str
    transposition : int
        Semitones from the sound up to what is written.
    """

    name: str
    tuning: Tuning | None
    low: int
    high: int
    clef: Clef
    transposition: int = 0


def fretted(name: str, tuning: Tuning, clef: Clef, transposition: int = 0) -> Instrument:
    """Return an instrument whose range is its neck's."""
    return Instrument(name, tuning, *compass(tuning), clef, transposition)


GUITAR: Final = fretted("guitar", STANDARD, "treble 8")

INSTRUMENTS: Final = {
    row.name: row
    for row in (
        GUITAR,
        fretted("seven-string guitar", TUNINGS["seven-string"], "treble 8"),
        fretted("bass guitar", TUNINGS["bass"], "bass", 12),
        fretted("ukulele", TUNINGS["ukulele"], "treble"),
        #          name             tuning low high clef     transposition
        Instrument("flute", None, 60, 93, "treble"),
        Instrument("clarinet", None, 50, 87, "treble", 2),
        Instrument("trumpet", None, 52, 80, "treble", 2),
        Instrument("alto saxophone", None, 49, 80, "treble", 9),
        Instrument("tenor saxophone", None, 44, 75, "treble", 14),
        Instrument("baritone saxophone", None, 37, 68, "treble", 21),
        Instrument("trombone", None, 40, 69, "bass"),
        Instrument("violin", None, 55, 88, "treble"),
        Instrument("double bass", None, 28, 60, "bass", 12),
        Instrument("piano", None, 48, 84, "treble"),
    )
}
"""Every instrument by name."""
