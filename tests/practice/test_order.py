"""Turns: what is parted, where it comes, and that nothing of it is lost."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

from practice_years import measure_of, tune

from chartkit.practice.day import Day, Slot
from chartkit.practice.item import Item
from chartkit.practice.order import EVIDENCE, in_order, in_turns
from chartkit.practice.past import Past
from chartkit.practice.template import usual

TUNE = tune("t")
DAY = Day(date(2026, 3, 1), "me", Past(), usual(), measure_of([TUNE]))


def slot(item):
    return Slot(Fraction(100), ((DAY.sized(item),),))


def turns(item):
    ((*found,),) = in_turns(slot(item), DAY).sizes
    return found


def test_times_round_are_parted():
    item = Item("arpeggios", "", "guide tones", Fraction(100), "t", "A", rounds=5)
    one, two = turns(item)
    assert (one.rounds, two.rounds) == (3, 2)
    assert (one.turn, two.turn) == (1, 2)
    whole = DAY.sized(item)
    again = whole.count_in * 60 / whole.tempo + whole.rest
    assert one.seconds + two.seconds == whole.seconds + again


def test_keys_are_parted_and_the_figures_with_them():
    keys = ("C", "F", "Bb", "Eb", "Ab")
    item = Item("scales", "", "thirds", Fraction(80), family="major", keys=keys, figured=4)
    one, two = turns(item)
    assert one.keys + two.keys == keys
    assert (one.figured, two.figured) == (3, 1)
    assert one.beats + two.beats == DAY.sized(item).beats


def test_a_turn_left_without_a_figure_is_called_plain_scales():
    keys = ("C", "F", "Bb", "Eb")
    title = "Melodic minor scales and thirds"
    item = Item("scales", title, "thirds", Fraction(80), family="melodic minor", keys=keys)
    one, two = turns(replace(item, figured=2))
    assert (one.title, one.kind, one.figured) == (title, "thirds", 2)
    assert (two.title, two.kind, two.figured) == ("Melodic minor scales", "scale", 0)
    _, two = turns(replace(item, figured=3))
    assert (two.title, two.kind) == (title, "thirds")


def test_once_round_in_one_key_stays_whole():
    item = Item("vocabulary", "", "enclosures", Fraction(100), "t", "A")
    assert turns(item) == [DAY.sized(item)]


def test_warm_up_and_solo_are_never_parted():
    for item in (
        Item("warm-up", "", "1-2-3-4", Fraction(100), rounds=4, position=5),
        Item("solo", "", "with the band", Fraction(100), "t", "form", rounds=4),
    ):
        assert in_turns(slot(item), DAY) == slot(item)


def test_first_turns_come_before_second_ones():
    a, b = (Item("arpeggios", name, "x", Fraction(100)) for name in "ab")
    first = Item("warm-up", "w", "x", Fraction(100))
    last = Item("solo", "s", "x", Fraction(100))
    sizes = [(first,), (a, replace(a, turn=2)), (b, replace(b, turn=2)), (last,)]
    assert [(i.title, i.turn) for i in in_order(sizes)] == [
        ("w", 1),
        ("a", 1),
        ("b", 1),
        ("a", 2),
        ("b", 2),
        ("s", 1),
    ]


def test_the_evidence_promises_nothing():
    assert "disagree" in EVIDENCE
    assert not {"better for you", "will", "guarantee"} & set(EVIDENCE.lower().split())
