"""Chord shapes against every way to lay a chord on the neck."""

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.guitar.fretboard import STANDARD, Tuning, pitch_at
from chartkit.guitar.shape import shapes

OPEN = {6: 40, 5: 45, 4: 50, 3: 55, 2: 59, 1: 64}

chords = st.lists(st.integers(45, 76), min_size=3, max_size=4, unique=True).map(
    lambda drawn: tuple(sorted(drawn))
)


def every_shape(pitches):
    """Any strings in any order, sorted out by the rules of a closed shape."""
    for strings in permutations(OPEN, len(pitches)):
        frets = [pitch - OPEN[string] for string, pitch in zip(strings, pitches, strict=True)]
        falling = list(strings) == sorted(strings, reverse=True)
        close = max(strings) - min(strings) <= len(strings)
        if falling and close and min(frets) >= 1 and max(frets) <= min(22, min(frets) + 4):
            yield tuple(zip(strings, frets, strict=True))


@settings(derandomize=True, max_examples=200, deadline=None)
@given(chords)
def test_shapes_are_all_there_are_and_sound_the_chord(pitches):
    found = shapes(pitches)
    assert set(found) == set(every_shape(pitches))
    for shape in found:
        assert tuple(pitch_at(STANDARD, *place) for place in shape) == pitches


def written(shape):
    """Frets from the sixth string to the first, as players write a shape."""
    frets = dict(shape)
    return " ".join(str(frets.get(string, "x")) for string in OPEN)


@pytest.mark.parametrize(
    ("pitches", "expected"),
    [
        # Drop 2 of Cmaj7 on strings 4-3-2-1 and the triads of C on 3-2-1 are handbook shapes.
        ((55, 60, 64, 71), "x x 5 5 5 7"),
        ((59, 64, 67, 72), "x x 9 9 8 8"),
        ((60, 64, 67), "x x x 5 5 3"),
        ((64, 67, 72), "x x x 9 8 8"),
        ((51, 57, 62, 67), "x x 1 2 3 3"),  # F13 without its root, common practice, no source
    ],
)
def test_a_handbook_shape_is_among_them(pitches, expected):
    assert expected in map(written, shapes(pitches))


def test_a_cluster_has_no_shape():
    assert shapes((58, 60, 62, 64)) == ()


def test_another_tuning_has_other_shapes():
    fourths = Tuning("fourths", (40, 45, 50, 55, 60, 65), 22)
    assert ((4, 2), (3, 2), (2, 2)) in shapes((52, 57, 62), fourths)
    assert ((4, 2), (3, 2), (2, 3)) in shapes((52, 57, 62))
