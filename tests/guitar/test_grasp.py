"""Fingers of held chords; figures are common practice, no source."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.guitar.grasp import grasp


def on(strings, frets):
    return list(zip(strings, frets, strict=True))


@pytest.mark.parametrize(
    ("strings", "frets", "fingers"),
    [
        ((3, 2, 1), (5, 5, 3), (3, 4, 1)),
        ((3, 2, 1), (7, 6, 5), (3, 2, 1)),
        ((3, 2, 1), (9, 8, 8), (2, 1, 1)),
        ((4, 3, 2, 1), (5, 5, 5, 7), (1, 1, 1, 3)),
        ((4, 3, 2, 1), (2, 4, 1, 3), (2, 4, 1, 3)),
        ((4, 3, 2, 1), (9, 9, 8, 8), (2, 3, 1, 1)),
        ((4, 3, 2, 1), (10, 12, 12, 12), (1, 3, 3, 3)),
        ((5, 4, 3), (3, 2, 3), (2, 1, 3)),
    ],
)
def test_handbook_fingers(strings, frets, fingers):
    assert grasp(on(strings, frets)) == fingers


@settings(derandomize=True, max_examples=200, deadline=None)
@given(st.lists(st.integers(5, 9), min_size=3, max_size=6))
def test_no_finger_is_asked_for_the_impossible(frets):
    strings = range(len(frets), 0, -1)
    fingers = grasp(on(strings, frets))
    if fingers is None:
        # With four fingers or fewer in demand there is always a way.
        assert len(frets) > 4
        return
    held = set(zip(frets, fingers, strict=True))
    by_fret = [{finger for at, finger in held if at == fret} for fret in range(10)]
    used = [own for own in by_fret if own]
    assert all(max(low) < min(high) for low, high in pairwise(used))
    for finger in range(1, 5):
        under = [at for at, f in enumerate(fingers) if f == finger]
        for between in range(under[0], under[-1]) if under else ():
            assert frets[between] >= frets[under[0]]
