"""Note values: rows that a copyist can check by eye, and laws for any stretch of time.

Source of the rows: Gould, Behind Bars (2011), "Grouping of note values" and "Rests", from memory;
the laws follow from what a written value is.
"""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.chart import Meter
from chartkit.errors import CannotPlay
from chartkit.notate.rhythm import pieces, triplet_pieces, triplet_windows, written_value

COMMON, WALTZ, SLOW, CUT = Meter(4), Meter(3), Meter(4, Fraction(3, 2)), Meter(2, Fraction(2))

many = settings(derandomize=True, max_examples=200, deadline=None)


def shown(found):
    """Write pieces as their lengths in quarters: ``1 + 1/2``."""
    return " + ".join(str(piece.value.length) for piece in found)


@pytest.mark.parametrize(
    ("start", "end", "meter", "written"),
    [
        ("0", "4", COMMON, "4"),
        ("0", "3", COMMON, "3"),
        ("0", "3/2", COMMON, "3/2"),
        ("1", "3", COMMON, "2"),  # quarter, half, quarter
        ("1", "4", COMMON, "3"),
        ("1/2", "3/2", COMMON, "1"),  # eighth, quarter, eighth
        ("1/2", "2", COMMON, "3/2"),
        ("3/2", "5/2", COMMON, "1/2 + 1/2"),  # the middle of the measure is seen
        ("3/2", "3", COMMON, "1/2 + 1"),
        ("1/2", "5/2", COMMON, "3/2 + 1/2"),
        ("0", "5/2", COMMON, "2 + 1/2"),
        ("1", "5/2", COMMON, "1 + 1/2"),
        ("3/4", "5/4", COMMON, "1/4 + 1/4"),  # a sixteenth off the beat shows the beat
        ("1/4", "3/4", COMMON, "1/2"),
        ("0", "3", WALTZ, "3"),
        ("1", "3", WALTZ, "2"),
        ("1/2", "5/2", WALTZ, "1/2 + 3/2"),
        ("0", "5/2", WALTZ, "2 + 1/2"),
        ("0", "6", SLOW, "6"),
        ("0", "3/2", SLOW, "3/2"),
        ("1", "2", SLOW, "1/2 + 1/2"),  # a dotted beat is seen
        ("0", "9/2", SLOW, "3 + 3/2"),
        ("1", "3", CUT, "2"),
    ],
)
def test_a_note_shows_the_middle_of_its_measure_and_its_beats(start, end, meter, written):
    assert shown(pieces(Fraction(start), Fraction(end), meter)) == written


@pytest.mark.parametrize(
    ("start", "end", "meter", "written"),
    [
        ("0", "2", COMMON, "2"),
        ("1", "3", COMMON, "1 + 1"),
        ("1", "4", COMMON, "1 + 2"),
        ("0", "3", COMMON, "2 + 1"),
        ("0", "3/2", COMMON, "1 + 1/2"),
        ("1/2", "3/2", COMMON, "1/2 + 1/2"),
        ("0", "2", WALTZ, "1 + 1"),  # no half rest in three
        ("0", "3/2", SLOW, "3/2"),
        ("0", "3", SLOW, "3"),
    ],
)
def test_a_rest_hides_no_beat(start, end, meter, written):
    assert shown(pieces(Fraction(start), Fraction(end), meter, rest=True)) == written


METERS = st.sampled_from([COMMON, WALTZ, SLOW, CUT, Meter(2), Meter(5), Meter(6), Meter(7)])


@st.composite
def stretches(draw):
    meter = draw(METERS)
    points = int(meter.length * 8)
    start = draw(st.integers(0, points - 1))
    return (
        meter,
        Fraction(start, 8),
        Fraction(draw(st.integers(start + 1, points)), 8),
        draw(st.booleans()),
    )


@many
@given(stretches())
def test_pieces_fill_their_stretch_with_writable_values(case):
    meter, start, end, rest = case
    found = pieces(start, end, meter, rest=rest)
    assert found[0].start == start
    assert found[-1].end == end
    assert all(a.end == b.start for a, b in pairwise(found))
    for piece in found:
        assert written_value(piece.value.length) == piece.value


@many
@given(stretches())
def test_only_a_value_that_starts_and_ends_on_a_beat_crosses_the_middle_of_four(case):
    _, start, end, _ = case
    if end <= 4:
        for piece in pieces(start, end, COMMON):
            if piece.start < 2 < piece.end:
                assert piece.start.denominator == piece.end.denominator == 1


def test_a_length_that_no_values_add_up_to_is_refused():
    with pytest.raises(CannotPlay, match="1/5 quarter notes cannot be written"):
        pieces(Fraction(0), Fraction(1, 5), COMMON)


@pytest.mark.parametrize(
    ("bounds", "windows"),
    [
        ("0 1/3 2/3 1 2 4", [("0", "1")]),
        ("0 2/3 1 4", [("0", "1")]),
        ("0 2/3 4/3 2 4", [("0", "2")]),  # quarter triplets take two beats
        ("0 4/3 8/3 4", [("0", "4")]),
        ("0 1/6 1/3 1/2 1 4", [("0", "1/2")]),  # sixteenth triplets take half a beat
        ("0 1 4/3 5/3 2 7/3 8/3 3 4", [("1", "2"), ("2", "3")]),
        ("0 1/2 1 4", []),
    ],
)
def test_triplets_take_the_least_time_whose_ends_are_struck(bounds, windows):
    found = triplet_windows(tuple(map(Fraction, bounds.split())), Fraction(4))
    assert found == tuple((Fraction(a), Fraction(b)) for a, b in windows)


def test_triplet_values_are_three_in_the_time_of_two():
    window = (Fraction(1), Fraction(2))
    (long,) = triplet_pieces(Fraction(1), Fraction(5, 3), window)
    (short,) = triplet_pieces(Fraction(5, 3), Fraction(2), window)
    assert (long.value.base, short.value.base) == (Fraction(1), Fraction(1, 2))
    assert (long.value.length, short.value.length) == (Fraction(2, 3), Fraction(1, 3))
    assert long.value.tuplet == (3, 2)
