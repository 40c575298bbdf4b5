from dataclasses import replace
from fractions import Fraction

import pytest

from chartkit.errors import CannotPlay
from chartkit.form import BarId
from chartkit.guitar.cost import AT_A_REST, hurry
from chartkit.guitar.fretboard import STANDARD
from chartkit.guitar.hand import Neck
from chartkit.guitar.stroke import strokes

NECK = Neck(STANDARD, STANDARD.positions, frozenset(STANDARD.strings), open_strings=False)


def test_a_stroke_for_every_heard_note(line_of):
    made = strokes(line_of([60, None, 62, 64], [Fraction(2), Fraction(1), Fraction(3), 1]), NECK)
    assert [stroke.bar for stroke in made] == ["bar 1", "bar 1", "bar 2"]
    assert [stroke.grips for stroke in made] == [NECK.grips(pitch) for pitch in (60, 62, 64)]
    assert [stroke.weight for stroke in made] == [
        AT_A_REST,
        hurry(Fraction(3), rested=True),
        hurry(Fraction(3), rested=False),
    ]
    assert made[0].positions == {grip.position for grip in NECK.grips(60)}


def test_the_pickup_is_named(line_of):
    line = line_of([20])
    pickup = replace(line.spans[0], bar=BarId("A", 0, 0))
    with pytest.raises(CannotPlay, match="the pickup: Ab0 cannot be played on this neck"):
        strokes(replace(line, spans=(pickup,)), NECK)
