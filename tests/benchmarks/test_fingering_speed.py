"""How long it takes to finger 64 bars of eighths, and a thousand notes."""

from fractions import Fraction
from random import Random

import pytest

from chartkit.chart import Meter
from chartkit.form import BarId
from chartkit.guitar.fingering import finger
from chartkit.harmony import Span
from chartkit.line import Line, LineNote
from chartkit.theory.key import WRITTEN, Key
from chartkit.theory.pitch import NoteName, Pitch

EIGHTH = Fraction(1, 2)


def line_of(pitches):
    named = (Pitch.at(NoteName.parse(WRITTEN["major"][midi % 12]), midi) for midi in pitches)
    notes = (LineNote(EIGHTH * i, EIGHTH, pitch) for i, pitch in enumerate(named))
    meter, key = Meter(4), Key(NoteName("C"))
    spans = (
        Span(
            meter.length * i,
            meter.length,
            None,
            None,
            None,
            key,
            BarId("A", i, i + 1),
            meter.length * i,
            meter,
            "swing",
        )
        for i in range(len(pitches) // 8)
    )
    return Line(tuple(notes), tuple(spans))


def wandering(step, length=512):
    rng = Random(step)
    pitch, pitches = 60, []
    for _ in range(length):
        pitches.append(pitch)
        pitch = min(max(pitch + rng.randint(-step, step), 40), 86)
    return pitches


@pytest.mark.parametrize("objective", ["sum", "worst"])
@pytest.mark.parametrize("step", [7, 46], ids=["by steps and leaps", "anywhere on the neck"])
def test_64_bars_of_eighths(benchmark, step, objective):
    line = line_of(wandering(step))
    fingering = benchmark(finger, line, objective=objective)
    assert len(fingering.stops) == len(line.notes)


def test_a_thousand_notes_with_open_strings(benchmark):
    line = line_of(wandering(7, length=1000))
    fingering = benchmark(finger, line, open_strings=True)
    assert len(fingering.stops) == len(line.notes)
