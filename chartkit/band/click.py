"""The count-in.

Conventions: it lies before beat zero and fills whole bars of the meter that begins there. The bars
are counted in halves, the last one in beats; where a bar has an odd number of beats, its first
stands for the halves [common practice, no source]. Keys: General MIDI 1, percussion key map, high
and low wood block.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from chartkit.arrange import Arrangement
from chartkit.track import Note, Track

HIGH_BLOCK, LOW_BLOCK = 76, 77
LOUD, PLAIN = 104, 88
LENGTH: Final = Fraction(1, 4)


def play(
    arrangement: Arrangement,
    avoid: tuple[int, int] | None,  # noqa: ARG001 (all players are called alike)
    rng: random.Random,  # noqa: ARG001
) -> Track:
    """Return the clicks before beat zero; none without a count-in."""
    return Track("click", 0, tuple(_clicks(arrangement)))


def _clicks(arrangement: Arrangement) -> Iterator[Note]:
    meter = [meter for start, meter in arrangement.meters if start <= 0][-1]
    bars = int(arrangement.count_in / meter.length)
    halves = 2 if meter.beats % 2 == 0 else meter.beats
    for bar in range(-bars, 0):
        for beat in range(0, meter.beats, 1 if bar == -1 else halves):
            start = bar * meter.length + beat * meter.unit
            key, velocity = (LOW_BLOCK, PLAIN) if beat else (HIGH_BLOCK, LOUD)
            yield Note(start, LENGTH, key, velocity)
