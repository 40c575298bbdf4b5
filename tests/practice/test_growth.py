"""How a tune grows: its parts in order, when one is there, the steps back and beyond."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from practice_years import tune

from chartkit.practice.growth import BEYOND, finished_on, parts, stage
from chartkit.practice.past import Try
from chartkit.practice.template import usual

DAY = date(2026, 3, 1)
GOAL = Fraction(140)
RULES = usual()
AABA = tune("t", "AABA")


def practised(*days, tempo=140, activity="arpeggios", of="t"):
    """Return a try a day: ``"A c"`` is the part and how it went."""
    found = []
    for number, told in enumerate(days):
        part, went = told.rsplit(" ", 1)
        found.append(
            Try(
                DAY + timedelta(days=number),
                activity,
                "guide tones",
                of,
                part,
                Fraction(tempo),
                clean=went == "c",
                missed=went == "m",
                runs=3,
            )
        )
    return found


@pytest.mark.parametrize(
    ("form", "order"),
    [
        ("A", ["A", "A>A", "form"]),
        ("AB", ["A", "B", "A>B", "B>A", "form"]),
        ("AABA", ["A", "A>A", "B", "A>B", "B>A", "A B", "form"]),
        ("ABC", ["A", "B", "A>B", "A B", "C", "B>C", "C>A", "form"]),
        ("ABAC", ["A", "B", "A>B", "B>A", "A B", "C", "A>C", "C>A", "A B C", "form"]),
    ],
)
def test_parts_come_section_by_section(form, order):
    assert list(parts(tune("t", form))) == order


@given(st.text("ABCDE", min_size=1, max_size=8))
def test_no_part_comes_before_its_sections_and_the_form_is_last(form):
    order = parts(tune("t", form))
    assert len(set(order)) == len(order)
    assert order[-1] == "form"
    met = []
    for part in order[:-1]:
        labels = part.replace(">", " ").split()
        if len(labels) == 1:
            met.append(part)
        assert set(labels) <= set(met)
    assert met == list(dict.fromkeys(form))


def test_a_section_has_days_until_it_is_clean_at_the_goal():
    for days in ([], ["A c"], ["A c", "A m"], ["A d", "A d", "A d"]):
        assert stage(AABA, practised(*days), GOAL, RULES).part == "A"
    assert stage(AABA, practised("A c", "A c"), GOAL, RULES).part == "A>A"


def test_two_clean_runs_on_one_day_are_one_day():
    same = practised("A c") + practised("A c", activity="vocabulary")
    assert stage(AABA, same, GOAL, RULES).part == "A"
    assert "1 more clean day at 140" in stage(AABA, same, GOAL, RULES).why


def test_slower_than_the_goal_does_not_count_and_nor_does_a_solo():
    assert stage(AABA, practised("A c", "A c", tempo=139), GOAL, RULES).part == "A"
    assert stage(AABA, practised("A c", "A c", activity="solo"), GOAL, RULES).part == "A"
    assert stage(AABA, practised("A c", "A c", of="other"), GOAL, RULES).part == "A"


def test_after_two_days_of_misses_the_part_before_has_a_day():
    there = ["A c", "A c", "A>A c", "A>A c"]
    assert stage(AABA, practised(*there, "B m"), GOAL, RULES).part == "B"
    back = stage(AABA, practised(*there, "B m", "B m"), GOAL, RULES)
    assert (back.part, back.back) == ("A>A", True)
    assert stage(AABA, practised(*there, "B m", "B m", "A>A d"), GOAL, RULES).part == "B"


def test_the_first_part_has_nothing_before_it():
    assert stage(AABA, practised("A m", "A m", "A m"), GOAL, RULES).part == "A"


def through(form, days_of_form):
    """Return two clean days of every part, and so many of the form."""
    order = [f"{part} c" for part in parts(tune("t", form))[:-1] for _ in range(2)]
    return practised(*order, *["form c"] * days_of_form)


def test_beyond_the_form_come_positions_keys_and_lines_and_then_it_is_finished():
    for days, step in ((2, 0), (4, 1), (6, 2)):
        found = stage(AABA, through("AABA", days), GOAL, RULES)
        assert (found.part, found.beyond, found.finished) == ("form", step, False)
        assert BEYOND[step] in found.why
        assert finished_on(AABA, through("AABA", days), GOAL, RULES) is None
    done = through("AABA", 8)
    assert stage(AABA, done, GOAL, RULES).finished
    assert finished_on(AABA, done, GOAL, RULES) == done[-1].day


def test_a_form_of_one_section_is_there_with_its_section():
    """The form would only be the section again."""
    one = tune("t", "A")
    assert stage(one, practised("A c", "A c"), GOAL, RULES).part == "A>A"
    there = practised("A c", "A c", "A>A c", "A>A c")
    found = stage(one, there, GOAL, RULES)
    assert (found.part, found.beyond, found.there) == ("form", 0, ("A", "A>A", "form"))
    assert BEYOND[0] in found.why
    assert stage(one, there[:3], GOAL, RULES).part == "A>A"


def test_after_a_form_of_one_section_what_is_beyond_has_all_its_days():
    one = tune("t", "A")
    more = [*["A c"] * 5, "A>A c", "A>A c"]
    assert stage(one, practised(*more), GOAL, RULES).beyond == 0
    done = practised(*more, *["form c"] * 6)
    assert finished_on(one, done[:-1], GOAL, RULES) is None
    assert stage(one, done, GOAL, RULES).finished
    assert finished_on(one, done, GOAL, RULES) == done[-1].day


def test_a_section_that_is_played_twice_is_not_the_form():
    twice = practised("A c", "A c", "A>A c", "A>A c")
    found = stage(tune("t", "AA"), twice, GOAL, RULES)
    assert (found.part, found.there) == ("form", ("A", "A>A"))


@given(st.lists(st.tuples(st.sampled_from("cmd"), st.integers(100, 160)), max_size=60))
def test_whatever_is_noted_the_order_is_kept(log):
    """Play what is due, with any outcome: parts never skip ahead, and go back by one at most."""
    order = parts(AABA)
    tries, last = [], 0
    for number, (went, tempo) in enumerate(log):
        now = stage(AABA, tries, GOAL, RULES)
        place = order.index(now.part)
        assert place <= last + 1
        assert place >= last - 1
        last = max(last, place)
        assert list(now.there) == list(order[: len(now.there)])
        one = practised(*["x d"] * number, f"{now.part} {went}", tempo=tempo)[-1]
        tries.append(one)
