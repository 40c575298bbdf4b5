"""Lines made by hand, for everything that fingers them."""

from fractions import Fraction

import pytest

from chartkit.chart import Meter
from chartkit.form import BarId
from chartkit.harmony import Span
from chartkit.line import Line, LineNote
from chartkit.theory.key import WRITTEN, Key
from chartkit.theory.pitch import NoteName, Pitch

BAR = Meter(4)


def bar_span(number):
    start = BAR.length * number
    key = Key(NoteName("C"))
    bar = BarId("A", number, number + 1)
    return Span(start, BAR.length, None, None, None, key, bar, start, BAR, "swing")


def pitch_of(midi):
    return Pitch.at(NoteName.parse(WRITTEN["major"][midi % 12]), midi)


@pytest.fixture(scope="session")
def line_of():
    """A function from MIDI numbers (None for a rest) and lengths to a line in bars of 4/4.

    One length serves all notes; a list gives each its own.
    """

    def make(pitches, lengths=Fraction(1, 2)):
        each = lengths if isinstance(lengths, list) else [Fraction(lengths)] * len(pitches)
        beat, notes = Fraction(0), []
        for midi, length in zip(pitches, each, strict=True):
            notes.append(LineNote(beat, Fraction(length), None if midi is None else pitch_of(midi)))
            beat += length
        bars = int(beat // BAR.length) + 1
        return Line(tuple(notes), tuple(bar_span(number) for number in range(bars)))

    return make
