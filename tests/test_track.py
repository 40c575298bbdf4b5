"""Beats to seconds, exactly."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.track import Note, TempoMap

LADDER = TempoMap(
    ((Fraction(0), Fraction(120)), (Fraction(8), Fraction(60)), (Fraction(10), Fraction(90)))
)

beats = st.fractions(-20, 40, max_denominator=96)


@pytest.mark.parametrize(
    ("beat", "seconds"), [(-4, -2), (0, 0), (1, Fraction(1, 2)), (8, 4), (9, 5), (10, 6), (13, 8)]
)
def test_seconds_by_hand(beat, seconds):
    assert LADDER.seconds(Fraction(beat)) == seconds


def test_a_loop_is_exactly_its_beats_by_the_tempo():
    one = TempoMap(((Fraction(0), Fraction(140)),))
    assert one.seconds(Fraction(48)) == Fraction(48 * 60, 140)


@pytest.mark.parametrize(("beat", "tempo"), [(-1, 120), (0, 120), (7, 120), (8, 60), (99, 90)])
def test_the_tempo_at_a_beat(beat, tempo):
    assert LADDER.at(Fraction(beat)) == tempo


@given(beats, beats)
@settings(derandomize=True, max_examples=200, deadline=None)
def test_time_only_goes_forward(one, two):
    assert (one < two) == (LADDER.seconds(one) < LADDER.seconds(two))


def test_a_note_ends_where_it_ends():
    assert Note(Fraction(-1, 2), Fraction(2), 60, 80).end == Fraction(3, 2)
