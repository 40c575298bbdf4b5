"""Twelve keys over the days."""

from itertools import pairwise

import pytest

from chartkit.guitar.fretboard import STANDARD
from chartkit.technique.diatonic import FAMILIES
from chartkit.technique.keys import INTERVALS, by_stretches, of_day, round_of_keys
from chartkit.theory.key import WRITTEN, Key
from chartkit.theory.pitch import NoteName

STARTS = [Key(NoteName.parse(name), mode) for mode in WRITTEN for name in WRITTEN[mode]]


@pytest.mark.parametrize("start", STARTS, ids=str)
@pytest.mark.parametrize("interval", INTERVALS.values())
@pytest.mark.parametrize("a_day", range(1, 13))
def test_all_twelve_in_the_fewest_days(start, interval, a_day):
    keys = round_of_keys(start, interval)
    fewest = -(-12 // a_day)
    days = [of_day(keys, a_day, day) for day in range(1, fewest + 1)]
    covered = [key.tonic.pitch_class for day in days for key in day]
    assert sorted(covered) == list(range(12))  # each once: nothing comes twice in a round
    assert days[0][0] == start
    assert of_day(keys, a_day, fewest + 1) == days[0]
    assert all((b - a) % 12 == interval for a, b in pairwise(covered))


def test_six_a_day_take_two_days_and_four_take_three():
    # Common practice, no source.
    keys = round_of_keys(Key(NoteName("C")), 5)
    for a_day, days in ((6, 2), (4, 3)):
        taken = [key for day in range(1, days + 1) for key in of_day(keys, a_day, day)]
        assert set(taken) == set(keys)
    # The cycle of fourths as every book prints it, common practice, no source.
    assert " ".join(str(key.tonic) for key in keys) == "C F Bb Eb Ab Db Gb B E A D G"


def test_the_first_key_keeps_the_name_it_was_given():
    sharp = Key(NoteName("F", 1))
    assert round_of_keys(sharp, 5)[0] == sharp
    impossible = Key(NoteName("G", 1))  # eight sharps
    assert round_of_keys(impossible, 5)[0] == Key(NoteName("A", -1))


# Stretches of each major key by position: counted by hand on a neck diagram, common practice.
POSITION_V = {0: "F Bb", 1: "C Eb", 2: "G Ab", 3: "Db D", 4: "E Gb A B"}
POSITION_VII = {0: "C G", 1: "D F", 2: "A Bb", 3: "Eb E", 4: "Db Gb Ab B"}


@pytest.mark.parametrize(("position", "figures"), [(5, POSITION_V), (7, POSITION_VII)])
@pytest.mark.parametrize("start", WRITTEN["major"])
def test_keys_by_stretches(position, figures, start):
    keys = round_of_keys(Key(NoteName.parse(start)), 5)
    ordered = by_stretches(keys, FAMILIES["major"], position, STANDARD)
    count = {name: number for number, names in figures.items() for name in names.split()}
    numbers = [count[str(key.tonic)] for key in ordered]
    assert numbers == sorted(numbers)
    assert set(ordered) == set(keys)
    for number in figures:
        alike = [key for key in ordered if count[str(key.tonic)] == number]
        assert alike == [key for key in keys if count[str(key.tonic)] == number]


@pytest.mark.parametrize("position", range(1, 13))
def test_one_fret_up_the_order_is_a_semitone_up(position):
    def order(at):
        keys = round_of_keys(Key.written(at, "major"), 5)
        return [
            (key.tonic.pitch_class - at) % 12
            for key in by_stretches(keys, FAMILIES["major"], at, STANDARD)
        ]

    assert order(position) == order(position + 1)
