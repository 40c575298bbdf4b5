"""The drum kit: what can be struck, how hard, and how long it rings.

Conventions: keys are General MIDI 1's percussion key map. A figure's mark is ``o`` for soft, ``x``
for plain and ``X`` for accented; the feel's file tells what velocity that is on each thing.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from chartkit.band.cues import Cue
from chartkit.feel import patterns
from chartkit.track import Note

KEYS: Final = {
    "kick": 36,
    "stick": 37,
    "snare": 38,
    "slap": 39,
    "swirl": 40,
    "low_tom": 43,
    "tom": 47,
    "high_tom": 50,
    "closed_hat": 42,
    "hat": 44,
    "open_hat": 46,
    "crash": 49,
    "ride": 51,
    "bell": 53,
}
"""What can be struck, and its key; `hat` is the foot's, `slap` and `swirl` are for a brush kit."""

KIT: Final = 32
"""The jazz kit, where a feel's file asks for no other (a brush kit is 40); sounds that have none
play the standard kit in its place."""

MARKS: Final = "oxX"
"""Soft, plain, accented."""

QUIET, FULL = 0.8, 1.12
"""What the file's levels are multiplied by in the quietest and in the fullest music."""

VARIETY: Final = 4
"""A stroke is harder or softer by chance by as much, in MIDI velocity."""

RING: Final = {
    "crash": Fraction(4),
    "ride": Fraction(2),
    "bell": Fraction(2),
    "swirl": Fraction(1),
}
"""How long a cymbal or a brush is left to ring, in quarter notes; all else is short."""

SHORT: Final = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Struck:
    """Something struck: when, what, and how hard before chance has its say."""

    start: Fraction
    thing: str
    velocity: float


def strike(start: Fraction, thing: str, mark: str, cue: Cue) -> Struck:
    """Strike a thing as hard as its mark asks for, in the spirit of the chord that sounds."""
    level = patterns(cue.span.feel)["drums"]["levels"][thing][MARKS.index(mark)]
    return Struck(start, thing, level * (QUIET + (FULL - QUIET) * cue.intensity))


def sound(one: Struck, end: Fraction, rng: random.Random) -> Note:
    """Return the note that is heard; it does not ring beyond `end`."""
    velocity = round(one.velocity + rng.uniform(-VARIETY, VARIETY))
    length = min(RING.get(one.thing, SHORT), end - one.start)
    return Note(one.start, length, KEYS[one.thing], max(1, min(velocity, 127)))
