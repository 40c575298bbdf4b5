"""The changes in context: each chord with what follows it, its scale and its key.

Conventions: a span never crosses a bar line. At the end of a loop the next chord is the first
one again. Chord scales follow the key and where the chord goes; the table and its source stand in
`chartkit.theory.scale`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from chartkit.chart import Meter
from chartkit.form import BarId
from chartkit.theory.chord import Chord
from chartkit.theory.key import Key
from chartkit.theory.scale import Scale


@dataclass(frozen=True, slots=True)
class Span:
    """One chord in one bar.

    Parameters
    ----------
    start, length : Fraction
        In quarter notes from the form's first bar.
    chord : Chord or None
        None is N.C.
    next_chord : Chord or None
        The next chord that differs in root, quality or bass (round the seam in a loop); None where
        the music ends, where N.C. comes next, or where there is only one chord.
    scale : Scale or None
        The chord scale; None for N.C.
    new : bool
        Root, quality or bass differ from the span before (round the seam in a loop).
    bar_start, meter
        The bar's first beat and its meter.
    ends : str
        "section" or "chorus" on the spans of the last bar of each, else "".
    """

    start: Fraction
    length: Fraction
    chord: Chord | None
    next_chord: Chord | None
    scale: Scale | None
    key: Key
    bar: BarId
    bar_start: Fraction
    meter: Meter
    feel: str
    new: bool = True
    pushed: bool = False
    stopped: bool = False
    ends: Literal["", "section", "chorus"] = ""
