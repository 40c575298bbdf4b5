"""What a log comes to: items as they went, and what each day held."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

from chartkit.practice.item import Item, entries_of
from chartkit.practice.past import Past, past_of

DAY = date(2026, 3, 1)
AT = datetime(2026, 3, 1, 18, tzinfo=UTC)
SCALES = Item(
    "scales",
    "",
    "thirds",
    Fraction(80),
    family="major",
    keys=("C", "F", "Bb"),
    position=5,
    figured=3,
)
SOLO = Item("solo", "", "with the band", Fraction(100), "t", "form", keys=("F",), rounds=4)


def noted(item, result="clean", day=DAY, at=AT):
    return entries_of(item, "me", day, at, result)


def test_the_entries_of_an_item_are_one_try():
    (one,) = past_of(DAY + timedelta(1), noted(SCALES)).tries
    assert (one.clean, one.missed, one.runs, one.tempo) == (True, False, 3, 80)
    (two,) = past_of(DAY + timedelta(1), noted(SOLO, "not yet")).tries
    assert (two.clean, two.missed, two.runs) == (False, True, 4)


def test_one_key_that_was_not_clean_makes_it_a_miss():
    first, *others = noted(SCALES)
    (one,) = past_of(DAY + timedelta(1), [replace(first, result="not yet"), *others]).tries
    assert (one.clean, one.missed) == (False, True)


def test_done_is_neither():
    (one,) = past_of(DAY + timedelta(1), noted(SCALES, "done")).tries
    assert (one.clean, one.missed) == (False, False)


def test_the_same_item_noted_twice_is_two_tries():
    later = noted(SCALES, at=AT + timedelta(seconds=9))
    assert len(past_of(DAY + timedelta(1), [*noted(SCALES), *later]).tries) == 2


def test_entries_by_hand_stand_alone():
    by_hand = [replace(entry, item="") for entry in noted(SCALES)]
    tries = past_of(DAY + timedelta(1), by_hand).tries
    assert [one.runs for one in tries] == [1, 1, 1]


def test_scales_of_which_one_has_the_figure_are_two_tries_and_had_once():
    one_of_three = replace(SCALES, figured=1, rounds=2)
    entries = noted(one_of_three)
    for known in ([], [(DAY, [one_of_three])]):
        past = past_of(DAY + timedelta(1), entries, known)
        assert [(t.kind, t.runs) for t in past.tries] == [("thirds", 2), ("scale", 4)]
        assert [(h.kind, h.keys) for h in past.had] == [("thirds", ("C", "F", "Bb"))]


def test_a_turn_left_without_its_figure_is_had_once():
    second = replace(SCALES, figured=0, turn=2)
    past = past_of(DAY + timedelta(1), noted(second), [(DAY, [second])])
    assert [(t.kind, t.runs) for t in past.tries] == [("scale", 3)]
    assert len(past.had) == 1


def test_today_and_later_do_not_count():
    assert past_of(DAY, noted(SCALES), [(DAY, [SCALES])]) == Past()


def test_what_was_planned_and_noted_is_had_once():
    past = past_of(DAY + timedelta(1), noted(SCALES), [(DAY, [SCALES, SOLO])])
    assert [one.activity for one in past.had] == ["scales", "solo"]
    assert len(past.tries) == 1
    assert past.had[0].combination == SCALES.combination


def test_pasts_add_up():
    one = past_of(DAY + timedelta(1), noted(SCALES))
    second = DAY + timedelta(1)
    two = past_of(second + timedelta(1), noted(SOLO, day=second))
    both = past_of(second + timedelta(1), [*noted(SCALES), *noted(SOLO, day=second)])
    assert one + two == both
