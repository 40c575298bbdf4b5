from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest

from chartkit.practice.entry import Entry
from chartkit.practice.log import open_log

DAY = date(2026, 3, 1)
ENTRY = Entry(
    player="me",
    day=DAY,
    at=datetime(2026, 3, 1, 18, 30, tzinfo=UTC),
    activity="arpeggios",
    tune="night-shed",
    part="A>B",
    kind="arpeggio",
    family="dorian",
    key="Bb",
    position=5,
    tempo=Fraction(225, 2),
    result="not yet",
    seconds=95,
    note='late on the "and"\nagain tomorrow',
    item="2026-03-01/4",
)


@pytest.fixture
def log(tmp_path):
    with open_log(tmp_path) as log:
        yield log


def test_what_is_recorded_is_there_when_it_is_opened_again(tmp_path):
    with open_log(tmp_path) as log:
        assert log.record([ENTRY]) == 1
    with open_log(tmp_path) as log:
        assert log.entries("me") == (ENTRY,)


def test_an_equal_entry_is_the_same_entry(log):
    assert log.record([ENTRY, ENTRY]) == 1
    assert log.record([ENTRY]) == 0


def test_players_are_kept_apart(log):
    other = replace(ENTRY, player="Ada")
    log.record([ENTRY, other])
    assert log.entries("Ada") == (other,)
    assert log.players() == ("Ada", "me")


def test_days_from_and_to_are_included(log):
    days = [replace(ENTRY, day=DAY + timedelta(n)) for n in range(5)]
    log.record(days)
    assert log.entries("me", DAY + timedelta(1), DAY + timedelta(3)) == tuple(days[1:4])


def test_undo_takes_back_one_step(log):
    first, second, third = (replace(ENTRY, note=str(n)) for n in range(3))
    log.record([first])
    log.record([second, third])
    assert log.undo("me") == (second, third)
    assert log.undo("me") == (first,)
    assert log.undo("me") == ()
    assert log.entries("me") == ()


def test_plans_and_settings(log):
    log.keep_plan("me", DAY, "{}")
    log.keep_plan("me", DAY, "[]")
    assert log.plan("me", DAY) == "[]"
    assert log.plan("Ada", DAY) is None
    log.set("me", "minutes", "20")
    assert log.settings("me") == {"minutes": "20"}
    log.set("me", "minutes", None)
    assert log.settings("me") == {}


def test_tunes_under_way(log):
    log.start("me", "b", DAY)
    log.start("me", "a", DAY)
    log.start("me", "b", DAY + timedelta(1))
    assert log.under_way("me") == ("b", "a")
    log.finish("me", "b", DAY)
    assert log.under_way("me") == ("a",)
    assert log.finished("me") == ("b",)
