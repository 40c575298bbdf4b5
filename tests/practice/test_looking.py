"""What entries add up to, counted by hand and, over random logs, in other ways."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from log_strategies import ENTRIES

from chartkit.practice.coverage import KEYS, POSITIONS, coverage, key_of
from chartkit.practice.entry import Entry
from chartkit.practice.looking import Ahead, Mark, TuneSeen, report
from chartkit.practice.stretches import start_of, starts, unit_of

many = settings(derandomize=True, max_examples=100, deadline=None)

FIRST = date(2026, 3, 2)
"""A Monday."""


def entry(day, tempo=None, result="clean", **fields):
    on = FIRST + timedelta(days=day)
    at = datetime(on.year, on.month, on.day, 18, tzinfo=UTC)
    about = {"activity": "arpeggios", "tune": "night-shed", "part": "A", "seconds": 90}
    tempo = None if tempo is None else Fraction(tempo)
    return Entry("me", on, at, **{**about, **fields}, tempo=tempo, result=result)


def looked(entries, days=28, **more):
    return report("me", entries, FIRST, FIRST + timedelta(days=days - 1), **more)


def test_days_minutes_and_clean_runs():
    found = looked([entry(0, 80), entry(0, 84, part="B"), entry(8, 88, "not yet"), entry(9)])
    assert (found.days, found.minutes, found.clean) == (3, 6, 3)
    assert found.unit == "week"
    assert [(s.minutes, s.clean, s.days) for s in found.stretches] == [
        (3, 2, 1),
        (3, 1, 2),
        (0, 0, 0),
        (0, 0, 0),
    ]


def test_a_clean_item_counts_for_all_its_runs():
    keys = [entry(0, 80, key=key, item="scales/thirds x6") for key in ("C", "F")]
    assert looked(keys).clean == 6
    assert looked([keys[0], replace(keys[1], result="not yet")]).clean == 0


def test_of_a_day_the_fastest_clean_tempo_and_a_faster_miss_are_shown():
    went = [(80, "clean"), (92, "clean"), (88, "clean"), (90, "not yet"), (96, "not yet")]
    (part,) = looked([entry(3, tempo, result) for tempo, result in went]).parts
    day = FIRST + timedelta(days=3)
    assert part.marks == (Mark(day, Fraction(96), clean=False), Mark(day, Fraction(92), clean=True))
    assert part.best == 92


def test_a_slower_miss_of_a_day_is_not_shown():
    (part,) = looked([entry(3, 80, "not yet"), entry(3, 92)]).parts
    assert [mark.clean for mark in part.marks] == [True]


def test_what_nobody_judged_has_no_tempo():
    assert looked([entry(3, 80, "done"), entry(3, 80, part=None), entry(4)]).parts == ()


def test_the_tune_played_last_comes_first_and_its_parts_as_they_came():
    found = looked(
        [
            entry(0, 80, tune="a", part="B"),
            entry(1, 80, tune="a"),
            entry(2, 80, tune="b"),
            entry(3, 80, tune="a", part="B"),
        ],
        tunes={"a": TuneSeen("Tune A", Fraction(120), "Eb")},
    )
    assert [(one.title, one.part, one.goal) for one in found.parts] == [
        ("Tune A", "B", 120),
        ("Tune A", "A", 120),
        ("b", "A", None),
    ]


def test_one_tune_alone():
    ahead = (Ahead("a", "A", None, ""), Ahead("b", "B", None, ""))
    entries = [
        entry(0, 80, tune="a"),
        entry(1, 80, tune="b"),
        entry(2, activity="scales", tune=None),
    ]
    found = looked(entries, tune="a", ahead=ahead)
    assert (found.days, found.tune) == (1, "a")
    assert [one.tune for one in found.parts] == ["a"]
    assert found.ahead == ahead[:1]
    assert looked(entries, ahead=ahead).ahead == ahead


def test_days_outside_are_left_out():
    assert looked([entry(-1), entry(28)]).days == 0
    assert looked([entry(0), entry(27)]).days == 2


def test_twelve_by_twelve():
    squares = coverage(
        [
            entry(0, key="F#", position=1),
            entry(0, key="Gb minor", position=13),
            entry(1, key="Gbm", position=1, result="not yet"),
            entry(1, key="C", position=12, result="done"),
            entry(2, position=5),
            entry(2, key="H", position=5),
            entry(2, key="D"),
        ],
        {"night-shed": "Eb"},
    )
    assert [(s.key, s.position) for s in squares] == [(k, p) for k in KEYS for p in POSITIONS]
    assert {(s.key, s.position, s.days, s.clean) for s in squares if s.days} == {
        ("Gb", 1, 2, 1),
        ("C", 12, 1, 0),
        ("Eb", 5, 1, 1),
    }


def test_the_keys_go_round_in_fourths():
    # Outside check: a perfect fourth is five semitones; the names' pitch classes by hand.
    classes = dict(zip("CDEFGAB", (0, 2, 4, 5, 7, 9, 11), strict=True))
    of = [(classes[key[0]] - key.count("b")) % 12 for key in KEYS]
    assert of == [n * 5 % 12 for n in range(12)]
    assert all(key_of(key) == key for key in KEYS)


@pytest.mark.parametrize(
    ("days", "unit", "count"), [(1, "week", 1), (189, "week", 27), (190, "month", 7)]
)
def test_how_a_time_is_cut(days, unit, count):
    until = FIRST + timedelta(days=days - 1)
    assert unit_of(FIRST, until) == unit
    assert len(list(starts(FIRST, until, unit))) == count


@many
@given(st.dates(), st.dates())
def test_every_day_of_a_time_is_in_one_stretch(one, other):
    since, until = sorted((one, other))
    unit = unit_of(since, until)
    found = list(starts(since, until, unit))
    assert found == sorted(set(found))
    assert {start_of(since, unit), start_of(until, unit)} <= set(found)
    assert unit == "year" or len(found) <= 37


@many
@given(st.dates(), st.sampled_from(("week", "month", "year")))
def test_stretches_begin_where_calendars_say(day, unit):
    # Outside check: ISO 8601 weeks as the standard library numbers them.
    start = start_of(day, unit)
    assert start <= day
    if unit == "week":
        assert day.isocalendar()[:2] == start.isocalendar()[:2]
        assert start.weekday() == 0
    else:
        assert start == date(day.year, day.month if unit == "month" else 1, 1)


@many
@given(st.lists(ENTRIES, max_size=12), st.dates(), st.dates())
def test_over_random_logs_the_sums_agree(entries, one, other):
    since, until = sorted((one, other))
    entries = sorted(entries, key=lambda e: e.at)
    found = report("me", entries, since, until)
    inside = [e for e in entries if since <= e.day <= until]
    assert found.days == len({e.day for e in inside}) == sum(s.days for s in found.stretches)
    assert found.minutes * 60 == sum(e.seconds for e in inside)
    assert found.minutes == sum(s.minutes for s in found.stretches)
    assert len(found.squares) == 144
    assert all(0 <= s.clean <= s.days for s in found.squares)
    for part in found.parts:
        own = [e for e in inside if (e.tune, e.part) == (part.tune, part.part)]
        assert list(part.marks) == sorted(part.marks, key=lambda m: (m.day, m.clean))
        assert {m.tempo for m in part.marks} <= {e.tempo for e in own}
        assert (part.best or 0) <= max(
            (e.tempo or 0 for e in own if e.result == "clean"), default=0
        )
