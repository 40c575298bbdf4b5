"""Which tune is today's, and when finished ones come back."""

from datetime import date, timedelta
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from chartkit.practice.past import Try
from chartkit.practice.returning import LONGEST_GAP, Due, comes_back, due_today, today_first
from chartkit.practice.template import usual

DAY = date(2026, 3, 1)
RULES = usual()


def on(day, tune="t", went="c"):
    return Try(
        DAY + timedelta(days=day),
        "solo",
        "with the band",
        tune,
        "form",
        Fraction(140),
        clean=went == "c",
        missed=went == "m",
        runs=1,
    )


def gap_after(*tries):
    return comes_back("t", DAY, tries, RULES).gap


def test_it_comes_back_after_three_days_and_then_after_twice_as_many_each_time():
    days, last = [], 0
    tries = []
    for _ in range(8):
        due = comes_back("t", DAY, tries, RULES)
        days.append((due.day - DAY).days - last)
        last = (due.day - DAY).days
        tries.append(on(last))
    assert days == [3, 6, 12, 24, 48, 96, LONGEST_GAP, LONGEST_GAP]


def test_a_miss_halves_the_gap_and_never_below_the_first():
    assert gap_after(on(3), on(9), on(21)) == 24
    assert gap_after(on(3), on(9), on(21), on(45, went="m")) == 12
    assert gap_after(on(3, went="m")) == RULES.comes_back


def test_playing_it_early_does_not_widen_the_gap():
    assert gap_after(on(1), on(2)) == 3
    assert comes_back("t", DAY, [on(2)], RULES).day == DAY + timedelta(days=5)


def test_other_tunes_and_the_time_before_do_not_count():
    assert comes_back("t", DAY, [on(3, "other"), on(-1)], RULES) == Due(
        "t", DAY + timedelta(days=3), 3
    )


def test_the_most_overdue_comes_first():
    dues = [Due("a", DAY, 3), Due("b", DAY - timedelta(days=9), 3), Due("c", DAY + timedelta(1), 3)]
    assert [due.tune for due in due_today(dues, DAY)] == ["b", "a"]


def test_unfinished_tunes_take_turns_and_others_wait():
    turns, tries = [], []
    for number in range(9):
        first, *_ = today_first("abcd", tries, 3)
        turns.append(first)
        tries.append(on(number, first))
    assert "".join(turns) == "abcabcabc"


@given(st.lists(st.tuples(st.integers(0, 40), st.sampled_from("cmd")), max_size=30))
def test_it_always_comes_back(log):
    tries, day = [], 0
    for later, went in log:
        day += later
        tries.append(on(day, went=went))
    due = comes_back("t", DAY, tries, RULES)
    assert RULES.comes_back <= due.gap <= LONGEST_GAP
    assert due.day == max(DAY, DAY + timedelta(days=day if day and tries else 0)) + timedelta(
        days=due.gap
    )
