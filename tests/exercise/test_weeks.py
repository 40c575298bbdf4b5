"""The weeks: what a teacher would look for in them, and their lines on the charts."""

from fractions import Fraction
from importlib.resources import files

import pytest

from chartkit.chart import Meter
from chartkit.errors import RequestError
from chartkit.exercise import KINDS
from chartkit.exercise.asked import line_asked
from chartkit.exercise.weeks import WEEKS, exercises_of
from chartkit.form import body
from chartkit.guitar.fretboard import STANDARD, compass
from chartkit.harmony import spans
from chartkit.reader import parse

CHARTS = sorted(
    (path for path in files("chartkit.charts").iterdir() if path.name.endswith(".chart")),
    key=lambda path: path.name,
)
FOUR_FOUR = Meter(4)


def test_weeks_are_numbered_and_each_has_its_own_aim():
    assert [week.number for week in WEEKS] == list(range(1, len(WEEKS) + 1))
    assert len({week.aim for week in WEEKS}) == len(WEEKS)


def test_two_or_three_unlike_exercises_a_week_none_of_them_twice():
    # Two or three unlike items a day: after Stambaugh 2011 (JRME 58:4) and Allen 2012, from memory.
    assert all(2 <= len(set(week.exercises)) == len(week.exercises) <= 3 for week in WEEKS)
    every = [asked for week in WEEKS for asked in week.exercises]
    assert len(set(every)) == len(every)


def test_every_kind_has_its_week_and_chord_tones_come_first():
    order = [asked.kind for week in WEEKS for asked in week.exercises]
    assert set(order) == set(KINDS)
    first = {kind: order.index(kind) for kind in KINDS}
    assert first["arpeggio"] < first["connected"] < first["scale"] < first["approach"]
    assert first["approach"] < first["enclosure"] < first["triad-pair"]


def test_notes_come_to_be_shorter_and_the_hand_freer():
    fastest = [min(asked.value or 4 for asked in week.exercises) for week in WEEKS]
    least = [min(fastest[: number + 1]) for number in range(len(WEEKS))]
    assert least[0] == Fraction(1, 2)
    assert least[-1] == Fraction(1, 4)
    assert fastest.index(Fraction(1, 3)) < fastest.index(Fraction(1, 4))
    free = [week.number for week in WEEKS if any(a.position is None for a in week.exercises)]
    assert min(free) > len(WEEKS) / 2


def test_where_a_beat_is_a_dotted_quarter_values_divide_it():
    dotted = Meter(4, Fraction(3, 2))
    for week in WEEKS:
        for asked, fitted in zip(
            exercises_of(week.number, FOUR_FOUR), exercises_of(week.number, dotted), strict=True
        ):
            assert (asked.kind, asked.options) == (fitted.kind, fitted.options)
            if fitted.value:
                assert (dotted.unit / fitted.value).denominator == 1


def test_there_is_no_week_outside_the_plan():
    for number in (0, len(WEEKS) + 1):
        with pytest.raises(RequestError, match=f"no week {number}; choose one from 1 to 12"):
            exercises_of(number, FOUR_FOUR)


@pytest.mark.parametrize("path", CHARTS, ids=lambda path: path.name)
def test_every_week_can_be_played_on_every_chart(path):
    chart = parse(path.read_text(encoding="utf-8"), path.name).chart
    made = spans(body(chart), loop=True)
    for week in WEEKS:
        for asked in exercises_of(week.number, chart.meter):
            line = line_asked(made, asked, *compass(STANDARD, asked.position))
            assert any(note.pitch for note in line.notes)
