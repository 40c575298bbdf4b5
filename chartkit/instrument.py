"""Instruments as data: what an exercise needs to know of the one it is for.

Conventions: low and high are sounding MIDI notes, both included; what is written lies
`transposition` semitones above the sound. A guitar's treble clef with an 8 below already says that
it sounds an octave lower, so its part is not transposed. Ranges are those of a good amateur, clefs
and transpositions the usual ones [common practice, no source].
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

from chartkit.errors import RequestError
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
    program : int
        General MIDI program that it sounds with, from 0.
    transposition : int
        Semitones from the sound up to what is written.
    """

    name: str
    tuning: Tuning | None
    low: int
    high: int
    clef: Clef
    program: int
    transposition: int = 0


def fretted(
    name: str, tuning: Tuning, clef: Clef, program: int = 26, transposition: int = 0
) -> Instrument:
    """Return an instrument whose range is its neck's; a jazz guitar in sound if nothing is said."""
    return Instrument(name, tuning, *compass(tuning), clef, program, transposition)


def restrung(row: Instrument, tuning: Tuning) -> Instrument:
    """Return a fretted instrument with another tuning, its range that of the neck."""
    return fretted(row.name, tuning, row.clef, row.program, row.transposition)


GUITAR: Final = fretted("guitar", STANDARD, "treble 8")

INSTRUMENTS: Final = {
    row.name: row
    for row in (
        GUITAR,
        fretted("seven-string guitar", TUNINGS["seven-string"], "treble 8"),
        fretted("bass guitar", TUNINGS["bass"], "bass", 33, 12),
        fretted("ukulele", TUNINGS["ukulele"], "treble", 24),
        #          name             tuning low high clef  program transposition
        Instrument("flute", None, 60, 93, "treble", 73),
        Instrument("clarinet", None, 50, 87, "treble", 71, 2),
        Instrument("trumpet", None, 52, 80, "treble", 56, 2),
        Instrument("alto saxophone", None, 49, 80, "treble", 65, 9),
        Instrument("tenor saxophone", None, 44, 75, "treble", 66, 14),
        Instrument("baritone saxophone", None, 37, 68, "treble", 67, 21),
        Instrument("trombone", None, 40, 69, "bass", 57),
        Instrument("violin", None, 55, 88, "treble", 40),
        Instrument("double bass", None, 28, 60, "bass", 32, 12),
        Instrument("piano", None, 48, 84, "treble", 0),
    )
}
"""Every instrument by name."""


def instrument_words(instrument: Instrument) -> Iterator[str]:
    """Yield what a page should tell of an instrument: nothing of a guitar strung as usual.

    >>> [*instrument_words(GUITAR)], [*instrument_words(INSTRUMENTS["violin"])]
    ([], ['violin'])
    >>> [*instrument_words(restrung(GUITAR, TUNINGS["drop D"]))]
    ['drop D tuning']
    """
    if instrument.name != GUITAR.name:
        yield instrument.name
    own, tuning = INSTRUMENTS.get(instrument.name, GUITAR).tuning, instrument.tuning
    if tuning and own:
        if tuning.name != own.name:
            yield f"{tuning.name} tuning"
        if tuning.capo:
            yield f"capo {tuning.capo}"


def left_handed(instrument: Instrument) -> Instrument:
    """Return an instrument for a player who holds the neck in the right hand.

    Raises
    ------
    RequestError
        It has no neck.
    """
    if not instrument.tuning:
        raise RequestError(f"the {instrument.name} has no frets: leave --left-handed out")
    return replace(instrument, tuning=replace(instrument.tuning, left_handed=True))
