"""Figures and their way through a ladder."""

from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from chartkit.errors import RequestError
from chartkit.technique.figures import FIGURES, SCALE, Figure, read_figure, way


@pytest.mark.parametrize("name", FIGURES)
def test_a_name_is_read(name):
    assert read_figure(name) == FIGURES[name]


@pytest.mark.parametrize("text", ["", "2", "0", "13a", "123456789", "scales", "1 3"])
def test_what_is_no_figure(text):
    with pytest.raises(RequestError, match="not a figure"):
        read_figure(text)


def test_a_scale_turns_without_repeating_a_note():
    played = [index for one in way(SCALE, 6, 2) for index in one.indices]
    assert played == [2, 3, 4, 5, 4, 3, 2, 1, 0, 1, 2]


def test_thirds_over_an_octave():
    # Up in rising thirds, down in falling ones, and home.
    played = [one.indices for one in way(FIGURES["thirds"], 8, 0)]
    up = [(0, 2), (1, 3), (2, 4), (3, 5), (4, 6), (5, 7)]
    assert played == [*up, (6, 4), (5, 3), (4, 2), (3, 1), (2, 0)]


numbers = st.lists(st.integers(1, 8), max_size=5).map(lambda rest: (1, *rest))


@settings(derandomize=True, max_examples=200, deadline=None)
@given(numbers, st.integers(8, 20), st.integers(0, 6))
def test_every_note_carries_the_figure(numbers, count, tonic):
    figure = Figure("drawn", numbers)
    assume(tonic + max(numbers) <= count)
    played = list(way(figure, count, tonic))
    assert played[0].start == tonic
    assert all(0 <= index < count for one in played for index in one.indices)
    for one in played:
        relative = tuple(index - one.start + 1 for index in one.indices)
        assert relative in (numbers, numbers[::-1], (1,))
    starts = [one.start for one in played]
    assert set(starts) == set(range(count - max(numbers) + 1))
    assert all(abs(b - a) == 1 for a, b in pairwise(starts))
    assert tonic in {played[-1].indices[-1], played[-1].start}
