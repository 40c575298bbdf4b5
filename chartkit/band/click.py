"""The count-in.

Conventions: it lies before beat zero and fills whole bars of the meter that begins there. The bars
are counted in halves, the last one in quarters, or in what the feel feels as its beat; where a bar
has an odd number of beats, its first stands for the halves [common practice, no source]. Keys:
General MIDI 1, percussion key map, high and low wood block.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from chartkit.arrange import Arrangement
from chartkit.feel import feel
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
    pulse = feel(arrangement.spans[0].feel).pulse
    bars, beats = int(arrangement.count_in / meter.length), int(meter.length / pulse)
    halves = 2 if beats % 2 == 0 else beats
    for bar in range(-bars, 0):
        for beat in range(0, beats, 1 if bar == -1 else halves):
            start = bar * meter.length + beat * pulse
            key, velocity = (LOW_BLOCK, PLAIN) if beat else (HIGH_BLOCK, LOUD)
            yield Note(start, LENGTH, key, velocity)
