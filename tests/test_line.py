from fractions import Fraction

import pytest

from chartkit.chart import Meter
from chartkit.form import BarId
from chartkit.harmony import Span
from chartkit.line import Line, LineNote, Tone, sounding, span_at
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName, Pitch

D4, E4 = Pitch.parse("D4"), Pitch.parse("E4")


def span(start, length):
    bar = BarId("A", 0, 1)
    beat = Fraction(start)
    return Span(
        beat, Fraction(length), None, None, None, Key(NoteName("C")), bar, beat, Meter(4), "swing"
    )


def note(start, length, pitch, *, tie=False):
    return LineNote(Fraction(start), Fraction(length), pitch, tie=tie)


def test_tied_notes_are_one_and_rests_are_none():
    line = Line(
        (
            note(0, 1, D4),
            note(1, 1, None),
            note(2, 1, E4, tie=True),
            note(3, 1, E4, tie=True),
            note(4, 2, E4),
            note(6, 1, E4),
        ),
        (),
    )
    assert sounding(line) == (
        Tone(Fraction(0), Fraction(1), D4),
        Tone(Fraction(2), Fraction(4), E4),
        Tone(Fraction(6), Fraction(1), E4),
    )
    assert sounding(line)[1].end == 6


def test_nothing_sounds_in_a_line_of_rests():
    assert sounding(Line((note(0, 4, None),), ())) == ()


@pytest.mark.parametrize(("beat", "start"), [(-1, -1), (0, 0), (1, 0), (2, 2), (Fraction(7, 2), 2)])
def test_the_span_at_a_beat(beat, start):
    spans = (span(-1, 1), span(0, 2), span(2, 2))
    assert span_at(Line((), spans), Fraction(beat)).start == start
