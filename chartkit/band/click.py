"""The click: a count-in, and beats that go on while the band plays, or in its place.

Conventions: a count-in lies before beat zero and fills whole bars of the meter that begins there.
The bars are counted in halves, the last one in quarters, or in what the feel feels as its beat;
where a bar has an odd number of beats, its first stands for the halves [common practice, no
source]. The click of the music goes by the same beats and falls exactly on them; bars are counted
from beat zero, and a held last chord has none. Keys: General MIDI 1, percussion key map, high and
low wood block.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from fractions import Fraction
from itertools import groupby
from operator import attrgetter
from typing import Final

from chartkit.arrange import Arrangement
from chartkit.controls.clicks import Click
from chartkit.errors import RequestError, either
from chartkit.feel import FEELS
from chartkit.track import Note, Track

HIGH_BLOCK, LOW_BLOCK = 76, 77
LOUD, PLAIN = 104, 88
LENGTH: Final = Fraction(1, 4)


def play(
    arrangement: Arrangement,
    avoid: tuple[int, int] | None,  # noqa: ARG001 (all players are called alike)
    rng: random.Random,  # noqa: ARG001
) -> Track:
    """Return the clicks before beat zero and after it; none that the arrangement does not ask for.

    Raises
    ------
    RequestError
        A click is asked for on beats that no bar has.
    """
    going_on = [*_going_on(arrangement, arrangement.click)] if arrangement.click else []
    if arrangement.click and not going_on:
        beats = either(tuple(map(str, arrangement.click.beats)))
        raise RequestError(f"the click would never sound: no bar here has a beat {beats}")
    return Track("click", 0, (*_count_in(arrangement), *going_on))


def _count_in(arrangement: Arrangement) -> Iterator[Note]:
    meter = [meter for start, meter in arrangement.meters if start <= 0][-1]
    pulse = FEELS[arrangement.spans[0].feel].pulse
    bars, beats = int(arrangement.count_in / meter.length), int(meter.length / pulse)
    halves = 2 if beats % 2 == 0 else beats
    for bar in range(-bars, 0):
        for beat in range(0, beats, 1 if bar == -1 else halves):
            yield _note(bar * meter.length + beat * pulse, beat)


def _going_on(arrangement: Arrangement, click: Click) -> Iterator[Note]:
    bars = groupby(arrangement.spans, key=attrgetter("bar_start"))
    for number, (start, own) in enumerate(bars):
        *_, last = own
        pulse = FEELS[last.feel].pulse
        if number % click.one_bar_in == 0:
            for beat in range(int((last.start + last.length - start) / pulse)):
                if click.falls_on(beat + 1):
                    yield _note(start + beat * pulse, beat)


def _note(start: Fraction, beat: int) -> Note:
    """Return the click on a beat of its bar, from 0."""
    key, velocity = (LOW_BLOCK, PLAIN) if beat else (HIGH_BLOCK, LOUD)
    return Note(start, LENGTH, key, velocity)
