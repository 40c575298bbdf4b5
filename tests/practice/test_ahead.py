"""What is due follows the rules of growth and of the growing gaps."""

from datetime import date, timedelta
from fractions import Fraction

from practice_years import tune

from chartkit.practice.ahead import ahead
from chartkit.practice.growth import BEYOND, parts
from chartkit.practice.past import Try
from chartkit.practice.template import usual

FIRST = date(2026, 1, 1)


def tries_of(facts, order, start=0):
    """Clean days at the goal for each of these parts in turn."""
    return [
        Try(
            FIRST + timedelta(days=start + n),
            "arpeggios",
            "arpeggio",
            facts.id,
            part,
            facts.tempo,
            clean=True,
            missed=False,
            runs=3,
        )
        for n, part in enumerate(order)
    ]


def due(tunes, tries, goals=None):
    return ahead(tunes, tries, goals or {}, usual())


def test_a_new_tune_begins_with_its_first_section():
    (one,) = due([tune("night-shed")], [])
    assert (one.tune, one.what, one.day) == ("night-shed", "Night Shed, A", None)
    assert "part 1 of" in one.why


def test_clean_days_bring_the_next_part():
    facts = tune("night-shed")
    days = usual().clean_days
    for number, part in enumerate(parts(facts)):
        done = [one for one in parts(facts)[:number] for _ in range(days)]
        (one,) = due([facts], tries_of(facts, done))
        assert one.what == f"Night Shed, {part}"


def test_a_higher_goal_is_not_reached_yet():
    facts = tune("night-shed")
    tries = tries_of(facts, ["A"] * usual().clean_days)
    assert due([facts], tries)[0].what == f"Night Shed, {parts(facts)[1]}"
    assert due([facts], tries, {facts.id: facts.tempo + 1})[0].what == "Night Shed, A"


def test_a_finished_tune_comes_back_on_a_day():
    facts, other = tune("night-shed"), tune("tool-shed")
    days = usual().clean_days
    order = [one for one in parts(facts) for _ in range(days)]
    order += ["form"] * days * len(BEYOND)
    under_way, back = due([facts, other], tries_of(facts, order))
    assert under_way.what == "Tool Shed, A"
    assert (back.tune, back.what) == ("night-shed", "Night Shed")
    last = FIRST + timedelta(days=len(order) - 1)
    assert back.day == last + timedelta(days=usual().comes_back)
    assert f"{usual().comes_back} days" in back.why


def test_tunes_beyond_those_that_take_turns_wait():
    tunes = [tune(f"tune-{n}") for n in range(usual().at_once + 2)]
    found = due(tunes, [])
    assert [one.why.startswith("part 1") for one in found].count(True) == usual().at_once
    assert [one.why for one in found[usual().at_once :]] == [
        "waits until another tune is finished"
    ] * 2


def test_the_tune_that_was_longest_not_played_comes_first():
    tunes = [tune(f"tune-{n}", tempo=Fraction(100)) for n in range(2)]
    found = due(tunes, tries_of(tunes[0], ["A"]))
    assert [one.tune for one in found] == ["tune-1", "tune-0"]
