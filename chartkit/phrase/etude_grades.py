"""How hard an etude is: how dense, how wide, how often it breathes, and what it is made of.

Conventions: lengths in quarter notes; a beat of three eighths has a dotted quarter where another
has a quarter, and eighths where another has a triplet; a beat of one eighth has eighths only. The
grades are this project's own.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from chartkit.chart import Meter

QUARTER: Final = Fraction(1)
EIGHTH: Final = Fraction(1, 2)
TRIPLET: Final = Fraction(1, 3)

_PLAIN: Final = ("connected", "arpeggio")
_RHYTHMIC: Final = (*_PLAIN, "scale", "motif")
_RUNNING: Final = (*_PLAIN, "scale", "cells", "approach")
_ALL: Final = (*_RUNNING, "enclosure")


@dataclass(frozen=True, slots=True)
class Grade:
    """A row of `GRADES`.

    Parameters
    ----------
    description : str
        One line on it for help.
    values : tuple of Fraction
        Note values that a stretch of it may have, the shortest last.
    span : int
        Semitones from its lowest to its highest note at most.
    breath : int
        Bars in a row without a rest of a beat, at most.
    kinds : tuple of str
        Kinds of exercise that it takes; names of `chartkit.exercise.KINDS`.
    """

    description: str
    values: tuple[Fraction, ...]
    span: int
    breath: int
    kinds: tuple[str, ...]


GRADES: Final = {
    1: Grade("quarters within an octave", (QUARTER,), 12, 2, _PLAIN),
    2: Grade("quarters and eighths within a tenth", (QUARTER, EIGHTH), 16, 2, _PLAIN),
    3: Grade("eighths, scales too, within a twelfth", (EIGHTH,), 19, 4, _RHYTHMIC),
    4: Grade(
        "unbroken eighths, approach notes too, within two octaves", (EIGHTH,), 24, 4, _RUNNING
    ),
    5: Grade("eighths and triplets over the whole range", (EIGHTH, TRIPLET), 36, 4, _ALL),
}
"""Every grade by its number, the easiest first."""

USUAL_GRADE: Final = 3
USUAL_POSITION: Final = 5


def fitted_value(value: Fraction, meter: Meter) -> Fraction:
    """Return a value as the beats of a meter have it.

    >>> str(fitted_value(QUARTER, Meter(4, Fraction(3, 2)))), str(fitted_value(TRIPLET, Meter(4)))
    ('3/2', '1/3')
    """
    if meter.unit % value == 0:
        return value
    third = meter.unit / 3
    return meter.unit if value > third else third
