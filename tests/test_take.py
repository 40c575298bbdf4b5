"""A take's digest tells any two takes apart."""

from dataclasses import fields, replace
from fractions import Fraction

import pytest

from chartkit.chart import Chart
from chartkit.controls.clicks import Click
from chartkit.controls.ladder import Ladder
from chartkit.controls.trading import Trading
from chartkit.errors import RequestError
from chartkit.reader import parse
from chartkit.take import ExerciseAsked, Take
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName

CHART = parse("[A]\n| C | G7 |", "test.chart").chart
OTHER = {
    "chart": parse("[A]\n| C | F |", "test.chart").chart,
    "sections": ("A",),
    "bars": (1, 2),
    "key": Key(NoteName("F")),
    "tempo": Fraction(90),
    "feel": "swing",
    "times": 2,
    "loop": False,
    "same": True,
    "count_in": 1,
    "seed": 1,
    "parts": ("bass",),
    "exercise": ExerciseAsked(),
    "a4": 442.0,
    "soundfont": "other.sf2",
    "levels": (("bass", -3.0),),
    "click": Click((2, 4)),
    "ladder": Ladder(Fraction(5), Fraction(200)),
    "keys": 5,
    "minutes": Fraction(2),
    "trading": Trading(4),
    "intro": "vamp",
    "ending": "standard",
    "last_chord": "cut",
    "long_chords": True,
    "chords_on": "piano",
    "voicings": "shell",
    "leave_room": (60, 72),
}


@pytest.mark.parametrize("name", [field.name for field in fields(Take)])
def test_every_field_counts(name):
    assert replace(Take(CHART), **{name: OTHER[name]}).digest() != Take(CHART).digest()


def test_every_field_of_every_control_counts():
    ladder = Ladder(Fraction(5), Fraction(200))
    controls = {
        "click": (Click(), Click((1,)), Click((), 2)),
        "ladder": (
            ladder,
            replace(ladder, by=Fraction(6)),
            replace(ladder, up_to=Fraction(201)),
            replace(ladder, every=2),
        ),
        "trading": (Trading(4), Trading(8), Trading(4, "nothing")),
        "keys": (1, -1, (NoteName("C"),), (NoteName("C"), NoteName("F"))),
    }
    takes = [replace(Take(CHART), **{k: value}) for k, row in controls.items() for value in row]
    assert len({take.digest() for take in takes}) == len(takes)


def test_the_same_take_has_the_same_digest():
    again = parse("[A]\n| C | G7 |", "other.chart").chart
    assert isinstance(again, Chart)
    assert Take(again).digest() == Take(CHART).digest()


@pytest.mark.parametrize("level", [-61.0, 7.0, float("nan")])
def test_a_level_out_of_bounds(level):
    with pytest.raises(RequestError, match="from -60 to 6 dB"):
        Take(CHART, levels=(("bass", level),))
