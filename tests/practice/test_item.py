"""An item: its exact time, its name in the log, its entries, and there and back as plain values."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from chartkit.practice.item import Item, entries_of, from_json, runs_of, to_json

AT = datetime(2026, 3, 1, 18, tzinfo=UTC)
DAY = date(2026, 3, 1)

SCALES = Item(
    "scales",
    "Major scales and thirds",
    "thirds",
    Fraction(80),
    family="major",
    keys=("C", "F", "Bb"),
    position=5,
    figured=1,
    beats=Fraction(104),
    count_in=Fraction(4),
    rest=5,
)

words = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=9)
fractions = st.fractions(0, 400, max_denominator=100)

items = st.builds(
    Item,
    activity=words,
    title=words,
    kind=words,
    tempo=st.fractions(30, 400, max_denominator=10),
    tune=words | st.none(),
    part=words | st.none(),
    family=words | st.none(),
    keys=st.lists(words, max_size=4).map(tuple),
    position=st.integers(1, 24) | st.none(),
    figured=st.integers(0, 4),
    phrase=words,
    beats=fractions,
    rounds=st.integers(1, 20),
    count_in=fractions,
    rest=st.integers(0, 20),
    turn=st.integers(1, 2),
    why=words,
)


def test_it_lasts_from_the_count_in_to_the_end_of_the_rest():
    assert SCALES.music == Fraction(108 * 60, 80)
    assert SCALES.seconds == Fraction(108 * 60, 80) + 5


def test_its_name_tells_what_it_is_and_how_many_runs():
    assert SCALES.key == "scales/thirds/major/5/C F Bb x3"
    warm_up = Item("warm-up", "", "1-2-3-4 1-2-4-3", Fraction(72), position=7)
    assert warm_up.key == "warm-up/1-2-3-4 1-2-4-3/7 x2"
    second = Item("solo", "", "with the band", Fraction(100), "t", "form", rounds=3, turn=2)
    assert second.key == "solo/with the band/t/form/turn 2 x3"


def test_an_entry_a_key_and_the_time_shared_out():
    entries = entries_of(SCALES, "me", DAY, AT, "clean", note="even")
    assert [entry.key for entry in entries] == ["C", "F", "Bb"]
    assert sum(entry.seconds for entry in entries) == round(SCALES.seconds)
    assert [entry.note for entry in entries] == ["even", "", ""]
    assert {entry.tempo for entry in entries} == {80}
    assert {runs_of(entry) for entry in entries} == {3}


def test_a_key_that_had_no_figure_is_noted_as_a_plain_scale():
    def kinds(item):
        return [entry.kind for entry in entries_of(item, "me", DAY, AT, "clean")]

    assert kinds(SCALES) == ["thirds", "scale", "scale"]
    assert kinds(replace(SCALES, figured=3)) == ["thirds"] * 3
    assert kinds(replace(SCALES, figured=0, turn=2)) == ["scale"] * 3
    assert {e.item for e in entries_of(SCALES, "me", DAY, AT, "clean")} == {SCALES.key}


def test_another_tempo_is_what_was_played():
    (entry,) = entries_of(
        Item("solo", "", "x", Fraction(100)), "me", DAY, AT, "not yet", tempo=Fraction(90)
    )
    assert (entry.tempo, entry.result) == (90, "not yet")


@given(items)
def test_there_and_back_as_json(item):
    assert from_json(json.loads(json.dumps(to_json(item)))) == item


@given(items)
def test_json_tells_seconds_and_the_key(item):
    told = to_json(item)
    assert abs(told["seconds"] - item.seconds) < 0.001
    assert told["key"] == item.key


@given(items)
def test_every_item_can_be_noted(item):
    for entry in entries_of(item, "me", DAY, AT, "done"):
        assert runs_of(entry) == min(item.runs, 9999)
