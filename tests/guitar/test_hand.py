import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.guitar.fretboard import STANDARD, pitch_at, window
from chartkit.guitar.hand import Grip, Neck, finger_for

ALL_STRINGS = frozenset(STANDARD.strings)
WHOLE = Neck(STANDARD, STANDARD.positions, ALL_STRINGS, open_strings=False)


def test_one_finger_a_fret_and_a_stretch_at_each_end():
    # Position playing [common practice, no source].
    assert [finger_for(7, fret) for fret in (6, 7, 8, 9, 10, 11)] == [1, 1, 2, 3, 4, 4]
    assert finger_for(1, 0) == 0


def test_only_the_outer_frets_are_stretches():
    grips = [Grip(7, fret, 3, finger_for(7, fret)) for fret in window(7)]
    assert [grip.stretched for grip in grips] == [True, False, False, False, False, True]
    assert not Grip(1, 0, 3, 0).stretched


@settings(derandomize=True, max_examples=200, deadline=None)
@given(st.integers(36, 90), st.booleans())
def test_grips_are_all_places_within_reach(pitch, open_strings):
    neck = Neck(STANDARD, STANDARD.positions, ALL_STRINGS, open_strings)
    expected = set()
    for position in range(1, 20):
        for string in range(1, 7):
            fretted = {(position + finger - 1, finger) for finger in (1, 2, 3, 4)}
            fretted |= {(position - 1, 1), (position + 4, 4)}
            fretted = {(fret, finger) for fret, finger in fretted if 1 <= fret <= 22}
            if position == 1 or open_strings:
                fretted.add((0, 0))
            expected |= {
                Grip(position, fret, string, finger)
                for fret, finger in fretted
                if pitch_at(STANDARD, string, fret) == pitch
            }
    grips = neck.grips(pitch)
    assert set(grips) == expected
    assert list(grips) == sorted(expected)


def test_the_lowest_string_open_only_in_position_i():
    assert {grip.position for grip in WHOLE.grips(40)} == {1}


def test_only_the_strings_that_were_asked_for():
    neck = Neck(STANDARD, STANDARD.positions, frozenset({2, 3}), open_strings=False)
    assert {grip.string for grip in neck.grips(64)} == {2, 3}


@pytest.mark.parametrize(
    ("positions", "strings", "words"),
    [
        (STANDARD.positions, ALL_STRINGS, "on this neck"),
        (range(5, 6), ALL_STRINGS, "in position V"),
        (STANDARD.positions, frozenset({2, 1}), "on strings 1, 2"),
        (range(5, 6), frozenset({3}), "in position V on string 3"),
    ],
)
def test_a_neck_in_words(positions, strings, words):
    assert str(Neck(STANDARD, positions, strings, open_strings=False)) == words
