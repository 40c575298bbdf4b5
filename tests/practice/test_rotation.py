"""Rounds: nothing again before all have come, wherever the log begins and whatever is missed."""

from collections import Counter
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from chartkit.practice.rotation import choices, following, keys_following, shuffled, standing
from chartkit.practice.technique import A_DAY, FOURTHS, customary


@given(st.integers(1, 12), st.text(max_size=5), st.integers(1, 40))
def test_keys_cover_the_twelve_and_no_key_comes_again_before(count, seed, days):
    had = []
    for _ in range(days):
        today = keys_following(had, FOURTHS, count, seed)
        assert len(set(today)) == len(today) == count
        had += today
    for first in range(0, len(had) - 11, 12):
        assert set(had[first : first + 12]) == set(FOURTHS)


def test_six_a_day_take_two_days_and_four_take_three():
    for count, days in ((6, 2), (4, 3), (12, 1), (3, 4)):
        assert count in A_DAY
        had = []
        for _ in range(days):
            had += keys_following(had, FOURTHS, count, "")
        assert set(had) == set(FOURTHS)


@given(st.sampled_from((1, 2, 3, 4, 6, 12)), st.text(max_size=5))
def test_keys_run_in_fourths_within_a_round(count, seed):
    had = []
    while len(had) < 12:
        had += keys_following(had, FOURTHS, count, seed)
    start = FOURTHS.index(had[0])
    assert had == [FOURTHS[(start + n) % 12] for n in range(12)]


def test_rounds_set_out_from_different_keys():
    firsts = set()
    had = []
    for _ in range(24):
        today = keys_following(had, FOURTHS, 6, "x")
        firsts.add(today[0])
        had += today
    assert len(firsts) > 4


@given(st.integers(1, 9), st.integers(1, 30), st.text(max_size=3))
def test_choices_go_round(size, days, seed):
    whole = range(size)
    had = []
    for _ in range(days):
        had.append(choices(had, whole, seed, had[-1:])[0])
    for first in range(0, days - size + 1, size):
        assert Counter(had[first : first + size]) == Counter(whole)


@given(st.integers(2, 9), st.integers(2, 30), st.text(max_size=3))
def test_no_choice_comes_on_two_days_running(size, days, seed):
    had = []
    for _ in range(days):
        had.append(choices(had, range(size), seed, had[-1:])[0])
    assert all(one != two for one, two in pairwise(had))


def test_what_is_missed_changes_nothing():
    assert following("AB", "ABCD", 2) == ("C", "D")
    assert standing("ABCDA", "ABCD").taken == ("A",)
    assert standing("XYZ", "ABCD").taken == ()


def test_chance_is_the_same_for_the_same_seed():
    assert shuffled(range(9), "a") == shuffled(range(9), "a")
    assert {shuffled(range(9), str(seed)) for seed in range(5)} != {shuffled(range(9), "0")}


def test_names_of_one_pitch_are_one_key():
    assert [customary(key) for key in ("C#", "Db", "G# minor", "F#")] == ["Db", "Db", "Ab", "Gb"]
