from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.feel.figure import Figure, Stroke

half, third = Fraction(1, 2), Fraction(1, 3)


def test_the_ride_of_swing():
    figure = Figure.read("x xx x xx")
    assert (figure.beats, figure.bars) == (4, (4,))
    assert [stroke.start for stroke in figure.strokes] == [0, 1, 3 * half, 2, 3, 7 * half]


def test_holds_run_over_beats_and_rests_end_them():
    assert Figure.read("x- .x -- .. o").strokes == (
        Stroke(Fraction(0), Fraction(1), "x"),
        Stroke(3 * half, 3 * half, "x"),
        Stroke(Fraction(4), Fraction(1), "o"),
    )


def test_each_beat_has_its_own_division():
    figure = Figure.read("x.x .X | xxxx")
    assert figure.bars == (2, 1)
    assert [stroke.start for stroke in figure.strokes] == [
        *(0, 2 * third, 3 * half),
        *(2 + Fraction(n, 4) for n in range(4)),
    ]


def test_what_cannot_be_read():
    with pytest.raises(ValueError, match="a bar without a beat"):
        Figure.read("x | | x")
    with pytest.raises(ValueError, match="a bar without a beat"):
        Figure.read("")
    with pytest.raises(ValueError, match="holds where nothing sounds"):
        Figure.read("x. -.")


@settings(derandomize=True, max_examples=200, deadline=None)
@given(st.lists(st.text("x.X1", min_size=1, max_size=4), min_size=1, max_size=8))
def test_strokes_are_in_order_within_the_beats(beats):
    figure = Figure.read(" ".join(beats))
    assert figure.beats == len(beats)
    assert len(figure.strokes) == sum(mark != "." for beat in beats for mark in beat)
    for one, two in zip(figure.strokes, figure.strokes[1:], strict=False):
        assert one.start + one.length <= two.start
    assert all(stroke.start + stroke.length <= len(beats) for stroke in figure.strokes)
