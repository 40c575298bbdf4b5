import random
from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.feel import FEELS, patterns
from chartkit.feel.pattern import choose, fill, read_pattern, strokes, vocabulary

SETTINGS = settings(derandomize=True, max_examples=200, deadline=None)


def rows(*figures, **more):
    return tuple(read_pattern({"line": figure, **more}) for figure in figures)


def test_a_row_is_read():
    row = read_pattern({"weight": [6, 2], "fastest": 200, "snare": ".x", "kick": "x x"})
    assert [name for name, _ in row.figures] == ["snare", "kick"]
    assert (row.beats, row.fastest) == (2, 200)
    assert [row.weight(intensity) for intensity in (0, 0.5, 1)] == [6, 4, 2]


def test_a_row_without_a_weight_counts_once():
    (row,) = rows("x")
    assert row.weight(0) == row.weight(1) == 1


def test_chance_follows_the_weights():
    often, seldom = read_pattern({"weight": 9, "a": "x"}), read_pattern({"weight": 1, "b": "x"})
    rng = random.Random(1)
    chosen = Counter(choose((often, seldom), 0.5, rng).figures[0][0] for _ in range(1000))
    assert 850 < chosen["a"] < 950


def test_the_longest_that_fits_is_taken():
    laid = fill(rows("x", "x x", "x x x x"), [4, 3, 1], 0.5, random.Random(1))
    assert [(beat, played) for beat, played, _ in laid] == [(0, 4), (4, 2), (6, 1), (7, 1)]


def test_a_pattern_may_cover_two_bars_but_no_part_of_one():
    laid = fill(rows("x x x x | x x x x", "x x x x"), [4, 4, 4], 0.5, random.Random(1))
    assert [(beat, played) for beat, played, _ in laid] == [(0, 8), (8, 4)]


def test_a_pattern_that_is_too_long_is_cut():
    ((beat, played, row),) = fill(rows("x x x x"), [3], 0.5, random.Random(1))
    assert (beat, played) == (0, 3)
    assert [stroke.start for _, stroke in strokes((beat, played, row))] == [0, 1, 2]


def test_a_short_figure_goes_round_in_its_pattern():
    row = read_pattern({"ride": "x xx x xx", "hat": ". x"})
    struck = [(name, stroke.start) for name, stroke in strokes((8, 4, row))]
    assert [start for name, start in struck if name == "hat"] == [9, 11]


@SETTINGS
@given(st.lists(st.integers(1, 7), min_size=1, max_size=8), st.integers(0, 99))
def test_bars_are_filled_without_gap(bars, seed):
    choice = rows("x", "x x", "x x x", "x x x x", "x x x x | x x x x", "x x | x x x")
    beat = 0
    for start, played, _ in fill(choice, bars, 0.5, random.Random(seed)):
        assert start == beat
        beat += played
    assert beat == sum(bars)


def test_a_fast_tempo_leaves_rows_out():
    slow = vocabulary("swing", "bass", "ornaments", Fraction(120))
    fast = vocabulary("swing", "bass", "ornaments", Fraction(260))
    assert {*fast} < {*slow}


@pytest.mark.parametrize("tempo", [60, 300])
@pytest.mark.parametrize("intensity", [0.0, 1.0])
@pytest.mark.parametrize("name", [name for name, row in FEELS.items() if row.built])
def test_every_list_of_rows_has_something_to_play(name, tempo, intensity):
    """In quiet and in full music, slow and fast, for every length that a list caters for."""
    for player in ("bass", "drums"):
        for title, value in patterns(name)[player].items():
            if isinstance(value, list) and isinstance(value[0], dict):
                able = vocabulary(name, player, title, Fraction(tempo))
                for beats in {row.beats for row in vocabulary(name, player, title, Fraction(60))}:
                    weights = [row.weight(intensity) for row in able if row.beats == beats]
                    assert sum(weights) > 0, f"{player} {title} of {beats} beats"
