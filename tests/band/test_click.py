"""The count-in: two bars of halves and then quarters [common practice, no source].

Keys: General MIDI 1, percussion key map, 76 and 77 high and low wood block.
"""

import random

import pytest

from chartkit.band import click


def clicks(arrangement):
    return click.play(arrangement, None, random.Random(0)).notes


@pytest.mark.parametrize(
    ("bars", "starts"),
    [
        (0, []),
        (1, [-4, -3, -2, -1]),
        (2, [-8, -6, -4, -3, -2, -1]),
        (3, [-12, -10, -8, -6, -4, -3, -2, -1]),
    ],
)
def test_halves_then_quarters(arranged, bars, starts):
    notes = clicks(arranged("F7 | Bb7", count_in=bars))
    assert [note.start for note in notes] == starts
    assert {note.pitch for note in notes if note.start % 4 == 0} <= {76}
    assert {note.pitch for note in notes if note.start % 4} <= {77}


def test_a_bar_of_three_says_its_first_beat_until_the_last_bar(arranged):
    notes = clicks(arranged("[A]\nMeter: 3/4\n| F7 | Bb7 |", count_in=2))
    assert [note.start for note in notes] == [-6, -3, -2, -1]


def test_a_cut_bar_is_counted_as_any_bar_of_four_quarters(arranged):
    notes = clicks(arranged("[A]\nMeter: 2/2\n| F7 | Bb7 |", count_in=2))
    assert [note.start for note in notes] == [-8, -6, -4, -3, -2, -1]


def test_a_pickup_comes_in_the_last_beats(arranged):
    text = "Pickup: 1\n\n[A]\n| C7 | F7 | Bb7 |"
    notes = clicks(arranged(text, loop=False, count_in=2))
    assert [note.start for note in notes] == [-8, -6, -4, -3, -2, -1]


def test_the_first_beat_is_the_loudest(arranged):
    notes = clicks(arranged("F7 | Bb7", count_in=2))
    high = {note.velocity for note in notes if note.pitch == 76}
    low = {note.velocity for note in notes if note.pitch == 77}
    assert min(high) > max(low)
