"""Plans of any length, from any log, in either order: what always holds."""

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from practice_years import (
    FORMS,
    Player,
    days_for_twelve,
    measure_of,
    order_kept,
    repeated,
    shares_used,
    tune,
    year_of,
)

from chartkit.errors import RequestError
from chartkit.practice.day import PhraseFacts
from chartkit.practice.entry import ACTIVITIES, RESULTS, Entry
from chartkit.practice.growth import parts
from chartkit.practice.past import Past, past_of
from chartkit.practice.plan import LEAST, MOST, plan, read_plan, write_plan
from chartkit.practice.technique import CHORDS, FAMILIES, FIGURES, FOURTHS, PATTERNS
from chartkit.practice.template import read_template

DAY = date(2026, 3, 1)
TUNES = [tune(f"t{n}", form, 8 + 4 * (n % 2), 100 + 20 * n) for n, form in enumerate(FORMS)]
MEASURE = measure_of(TUNES)
KINDS = (*FIGURES, *CHORDS, *PATTERNS, "guide tones", "enclosures", "with the band", "my own")


@st.composite
def entries(draw):
    of = draw(st.sampled_from([*TUNES, None]))
    return Entry(
        player="me",
        day=DAY - timedelta(days=draw(st.integers(-2, 60))),
        at=datetime(2026, 1, 1, tzinfo=UTC) + timedelta(seconds=draw(st.integers(0, 9))),
        activity=draw(st.sampled_from([*ACTIVITIES, "singing"])),
        tune=of.id if of else None,
        part=draw(st.sampled_from([*parts(of), "Z"])) if of else None,
        kind=draw(st.sampled_from(KINDS) | st.none()),
        family=draw(st.sampled_from(FAMILIES) | st.none()),
        key=draw(st.sampled_from(FOURTHS) | st.none()),
        position=draw(st.integers(1, 24) | st.none()),
        tempo=draw(st.fractions(20, 500, max_denominator=3) | st.none()),
        result=draw(st.sampled_from(RESULTS)),
        seconds=draw(st.integers(0, 300)),
        item=draw(st.sampled_from(["", "an item x4", "another"])),
    )


def planned(log, minutes, *, tunes=TUNES, **options):
    return plan(DAY, minutes, tunes, past_of(DAY, log), MEASURE, **options)


@settings(max_examples=20, deadline=None)
@given(
    st.lists(entries(), max_size=40),
    st.sampled_from([LEAST, 6, 8, 10, 11, 15, 25, 40, MOST]),
    st.sampled_from(["blocked", "mixed"]),
    st.integers(0, len(TUNES)),
)
def test_any_log_gives_a_day_within_its_time(log, minutes, order, count):
    made = planned(log, minutes, tunes=TUNES[:count], order=order)
    budget = 60 * minutes
    assert made.seconds <= budget
    if minutes >= 10:
        assert made.seconds >= Fraction(95, 100) * budget
    counted = [item.combination for item in made.items if item.turn == 1]
    assert len(set(counted)) == len(counted)
    assert all(item.why.endswith(".") and item.title and item.beats for item in made.items)
    assert planned(log, minutes, tunes=TUNES[:count], order=order) == made
    assert read_plan(write_plan(made)) == made


@pytest.mark.parametrize("minutes", [5, 10, 20, 60, 120])
def test_more_time_gives_more_parts_not_longer_ones(minutes):
    made = planned((), minutes)
    assert max(item.seconds for item in made.items) < 300
    if minutes > 10:
        assert len(made.items) > len(planned((), minutes // 2).items)


def test_what_is_left_out_of_a_short_day_takes_turns():
    slow = [tune("slow", "AABA", 16, 60)]
    past, seen = Past(), set()
    for number in range(6):
        day = DAY + timedelta(days=number)
        made = plan(day, 5, slow, past, measure_of(slow))
        assert made.seconds <= 300
        seen |= {item.activity for item in made.items}
        past += past_of(day + timedelta(days=1), (), [(day, made.items)])
    assert seen == set(ACTIVITIES)


@pytest.mark.parametrize("minutes", [LEAST - 1, MOST + 1])
def test_a_day_has_bounds(minutes):
    with pytest.raises(RequestError, match="5 to 120 minutes"):
        planned((), minutes)


def test_without_a_tune_the_time_is_for_technique():
    made = planned((), 10, tunes=())
    assert {item.activity for item in made.items} == set(ACTIVITIES[:3])


def test_mixed_order_comes_in_turns_and_is_no_longer():
    made = planned((), 20, order="mixed")
    turns = [item.turn for item in made.items]
    assert turns == sorted(turns[:-2]) + turns[-2:]
    assert 2 in turns
    assert made.items[0].activity == "warm-up"
    assert made.items[-1].activity == "solo"
    assert made.seconds <= 1200


def test_a_tune_that_is_named_is_todays():
    for one in TUNES:
        made = planned((), 10, today=one.id)
        assert {item.tune for item in made.items} == {None, one.id}


def test_a_goal_moves_where_a_tune_begins_and_ends():
    (tempo,) = {
        item.tempo
        for item in planned((), 10, goals=[("t0", Fraction(200))], today="t0").items
        if item.activity == "arpeggios"
    }
    assert tempo == 150


def test_what_cannot_be_played_is_left_out():
    first = next(i for i in planned((), 10).items if i.activity == "vocabulary")
    without = frozenset({(first.tune, first.part, first.kind)})
    second = next(i for i in planned((), 10, without=without).items if i.activity == "vocabulary")
    assert second.kind != first.kind


def test_phrases_come_up_in_the_vocabulary():
    phrases = [PhraseFacts(f"p{n}", f"Phrase {n}") for n in range(30)]
    item = next(i for i in planned((), 10, phrases=phrases).items if i.activity == "vocabulary")
    assert item.phrase == item.kind.replace("Phrase ", "p")


def test_a_plan_of_nonsense_is_refused():
    for text in ("", "{}", "[]", '{"version": 99}', write_plan(planned((), 5)).replace("1", "x")):
        with pytest.raises(RequestError, match="plan"):
            read_plan(text)


def test_a_plan_of_another_version_is_refused():
    text = write_plan(planned((), 5)).replace('"version": 1', '"version": 2')
    with pytest.raises(RequestError, match="version 2"):
        read_plan(text)


def test_a_template_of_ones_own():
    template = read_template("[shares]\nsolo = 1\narpeggios = 1\n", "own")
    made = planned((), 10, template=template)
    assert [item.activity for item in made.items[:1]] == ["solo"]
    assert {item.activity for item in made.items} == {"solo", "arpeggios"}


@pytest.mark.parametrize("minutes", [10, 12, 20, 45])
def test_a_template_with_little_to_choose_from_fills_the_day_too(minutes):
    template = read_template("[shares]\nwarm-up = 2\nsolo = 5\n", "own")
    for tempo in (50, 140, 260):
        slow = tune("slow", "AABA", 8, tempo)
        made = plan(DAY, minutes, [slow], Past(), measure_of([slow]), template=template)
        assert Fraction(95, 100) * 60 * minutes <= made.seconds <= 60 * minutes


def test_finished_tunes_come_back_in_the_solo():
    """After every part is clean, the tune is finished; three days later it has a solo."""
    first, second = TUNES[3], TUNES[2]
    days = [part for part in parts(first)[:-1] for _ in range(2)] + ["form"] * 8
    start = DAY - timedelta(days=len(days) + 2)
    log = [
        Entry(
            "me",
            start + timedelta(days=number),
            datetime(2026, 1, 1, tzinfo=UTC),
            "arpeggios",
            first.id,
            part,
            "guide tones",
            tempo=first.tempo,
            result="clean",
        )
        for number, part in enumerate(days)
    ]
    made = planned(log, 10, tunes=[first, second])
    solo = made.items[-1]
    assert (solo.activity, solo.tune) == ("solo", first.id)
    assert "Finished, and due again: it was last played 3 days ago" in solo.why
    assert {item.tune for item in made.items[:-1]} == {None, second.id}


@pytest.mark.sweep
@pytest.mark.parametrize("order", ["blocked", "mixed"])
@pytest.mark.parametrize("minutes", [5, 7, 10, 15, 25, 45, 90, 120])
@pytest.mark.parametrize("count", [1, 3])
def test_two_months_of_any_length(minutes, order, count):
    year = year_of(Player("steady", minutes=minutes, tunes=count), 60, order=order)
    least = Fraction(95, 100) if minutes >= 10 else 0
    assert all(least <= share <= 1 for share in shares_used(year))
    assert repeated(year) == []
    assert order_kept(year)


@pytest.mark.parametrize(("a_day", "days"), [(6, 2), (4, 3), (3, 4)])
def test_so_many_keys_a_day_cover_the_twelve_in_so_many_days(a_day, days):
    template = read_template(f"[keys]\na-day = {a_day}\n", "own")
    year = year_of(Player("steady"), 25, template=template)
    assert set(days_for_twelve(year)) == {days}
