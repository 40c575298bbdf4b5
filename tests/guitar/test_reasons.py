"""The sentences as a player reads them."""

from fractions import Fraction
from random import Random

import pytest

from chartkit.guitar.fingering import finger

LOW = [43, 45, 47, 48, 50, 52, 53, 55]
BETWEEN = [68, 69, 68, 69, 68, 69, 68, 69]
HIGH = [77, 79, 81, 79, 77, 76, 77, 79]


def test_a_line_that_stays(line_of):
    assert finger(line_of([43, 45, 47, 48] * 4)).reasons == (
        "start in II at bar 1: it holds the line to bar 2",
    )


def test_a_shift_where_the_line_leaves_the_window(line_of):
    assert finger(line_of(LOW + LOW + HIGH)).reasons == (
        "start in II at bar 1: it holds the line to bar 2",
        "shift to XIII at bar 3: the line leaves the window",
    )


def test_a_shift_at_a_rest(line_of):
    pitches = [*LOW[:7], None, *BETWEEN, *HIGH]
    assert finger(line_of(pitches)).reasons == (
        "start in II at bar 1: it holds the line to bar 1",
        "shift to XIII at bar 2, at a rest: the line leaves the window at bar 3",
    )


def test_a_shift_and_its_reason_in_one_bar_name_it_once(line_of):
    assert finger(line_of([*LOW[:2], None, 68, 69, *HIGH])).reasons == (
        "start in III at bar 1: it holds the line to bar 1",
        "shift to XIII at bar 1, at a rest: the line leaves the window",
    )


def test_a_shift_after_a_longer_note(line_of):
    lengths = [Fraction(1, 2)] * 2 + [Fraction(3)] + [Fraction(1, 2)] * 16
    pitches = [*LOW[:3], *BETWEEN, *HIGH]
    assert finger(line_of(pitches, lengths)).reasons[1:] == (
        "shift to XIII at bar 2, after a longer note: the line leaves the window at bar 3",
    )


def test_a_position_that_was_asked_for_needs_no_reason(line_of):
    assert finger(line_of(LOW), position=3).reasons == ()


@pytest.mark.parametrize("seed", range(20))
def test_a_sentence_for_every_shift(line_of, seed):
    rng = Random(seed)
    pitches = [rng.choice([None, *range(40, 87)]) for _ in range(40)]
    fingering = finger(line_of([60, *pitches]))
    assert len(fingering.reasons) == fingering.shifts + 1
    assert all("the line leaves the window" in reason for reason in fingering.reasons[1:])
