"""Tempos by hand, and for any log: where a ladder begins, when it rises, how far it falls."""

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartkit.practice.ladder import a_little_under, best, faster, rounded, rung, slower, words
from chartkit.practice.past import Try
from chartkit.practice.template import usual

DAY = date(2026, 3, 1)
RULES = usual()


def tried(*results, tempo=100, runs=1, first=0, activity="arpeggios"):
    """Return tries on one day after the other: ``c`` clean, ``m`` missed, ``d`` done."""
    return [
        Try(
            DAY + timedelta(days=first + number),
            activity,
            "guide tones",
            "tune",
            "A",
            None if tempo is None else Fraction(tempo),
            clean=result == "c",
            missed=result == "m",
            runs=runs,
        )
        for number, result in enumerate(results)
    ]


def today(tries, *, begin=100, goal=140, day=None):
    """Return the rung of the day after."""
    after = day or (tries[-1].day if tries else DAY) + timedelta(days=1)
    return rung(
        tries,
        bool,
        begin=Fraction(begin),
        goal=Fraction(goal),
        day=after,
        template=RULES,
    )


def test_it_begins_where_it_is_told():
    assert today([]).tempo == 100
    assert today([], begin=150).tempo == 140


@pytest.mark.parametrize(
    ("results", "tempo"),
    [
        ("cc", 100),
        ("ccc", 105),
        ("ccmc", 100),
        ("cmc", 100),
        ("mcmc", 100),
        ("mm", 91),
        ("cmm", 91),
        ("dddd", 100),
        ("mdm", 91),
    ],
)
def test_three_clean_runs_go_up_and_two_misses_down(results, tempo):
    assert today(tried(*results)).tempo == tempo


def test_times_round_are_runs():
    assert today(tried("c", runs=3)).tempo == 105
    assert today(tried("c", runs=2)).tempo == 100


def test_it_starts_over_from_what_was_played_faster():
    assert today(tried("c", tempo=120)).tempo == 120


def test_it_stops_at_the_goal():
    assert today(tried(*"ccc", tempo=140, runs=9)).tempo == 140
    assert "goal" in today(tried("c", tempo=140)).why


def test_after_a_break_it_begins_a_little_under_the_best():
    tries = tried(*"ccc")
    week = tries[-1].day + timedelta(days=RULES.break_days)
    assert today(tries, day=week).tempo == 105
    after = today(tries, day=week + timedelta(days=1))
    assert after.tempo == 95
    assert "after 8 days" in after.why


@pytest.mark.parametrize("runs", [1, 2, 4])
@pytest.mark.parametrize("gap", [1, 7, 8, 10, 30])
def test_who_is_always_clean_reaches_the_goal_whatever_the_gaps(gap, runs):
    tries, tempos, day = [], [], DAY
    for _ in range(60):
        now = today(tries, begin=75, day=day).tempo
        tempos.append(now)
        tries += tried("c", tempo=now, runs=runs, first=(day - DAY).days)
        day += timedelta(days=gap)
    assert tempos[-1] == 140
    assert all(two <= faster(one, RULES, Fraction(140)) for one, two in pairwise(tempos))


def test_other_things_keep_the_hands_in():
    tries = tried(*"ccc") + tried(*"d" * 12, first=3, activity="vocabulary")
    found = rung(
        tries,
        lambda one: one.activity == "arpeggios",
        begin=Fraction(100),
        goal=Fraction(140),
        day=tries[-1].day + timedelta(days=1),
        template=RULES,
    )
    assert found.tempo == 105


def test_a_clean_run_without_a_tempo_counts_at_todays():
    assert today(tried("c", "c", "c", tempo=None)).tempo == 105


def test_the_best_is_the_fastest_clean_one():
    tries = tried("c", tempo=90) + tried("m", tempo=130) + tried("c", tempo=96)
    assert best(tries) == 96
    assert best(tried("m")) is None


@given(st.fractions(34, 400))
def test_a_fall_is_8_to_10_in_a_hundred(tempo):
    at = rounded(tempo)
    assert Fraction(8, 100) <= 1 - slower(at) / at <= Fraction(10, 100)


@given(st.fractions(30, 400))
def test_a_step_up_is_a_step(tempo):
    at = rounded(tempo)
    assert at < faster(at, RULES, Fraction(500)) <= at * Fraction(107, 100)
    assert faster(at, RULES, at) == at


@given(st.fractions(30, 400))
def test_a_little_under_is_under_and_little(tempo):
    assert tempo * Fraction(93, 100) <= a_little_under(tempo, RULES) <= tempo


@given(
    st.lists(
        st.tuples(
            st.sampled_from("cmd"),
            st.integers(30, 200) | st.none(),
            st.integers(1, 9),
            st.integers(0, 12),
        )
    )
)
def test_any_log_gives_a_tempo_on_the_metronome(log):
    tries, days = [], 0
    for result, tempo, runs, later in log:
        days += later
        tries += tried(result, tempo=tempo, runs=runs, first=days)
    found = today(tries)
    assert 30 <= found.tempo <= 140
    assert found.tempo.denominator in (1, 2)
    assert today(tries) == found


@given(st.lists(st.sampled_from("cm"), min_size=1, max_size=40))
def test_it_never_jumps(results):
    """From one day to the next it rises by a step or falls by one, played as planned."""
    tries = []
    now = today(tries).tempo
    for number, result in enumerate(results):
        tries += tried(result, tempo=now, runs=3, first=number)
        then = today(tries).tempo
        assert then in (now, faster(now, RULES, Fraction(140)), slower(now))
        assert then >= now if result == "c" else then <= now
        now = then


def test_words():
    assert words(Fraction(83, 2)) == "41.5"
    assert replace(today([]), why="").tempo == 100
