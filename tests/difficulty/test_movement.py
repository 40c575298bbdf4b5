"""What each note asks: together the cost of the fingering, and each point with its name."""

from functools import cache
from importlib.resources import files

import pytest

from chartkit.difficulty.movement import SEVERAL, movements
from chartkit.exercise.connected import connected
from chartkit.form import body
from chartkit.guitar.fingering import finger
from chartkit.guitar.fretboard import STANDARD, compass
from chartkit.harmony import spans
from chartkit.line import sounding
from chartkit.reader import parse

CHARTS = {
    path.name: parse(path.read_text(encoding="utf-8"), path.name).chart
    for path in files("chartkit.charts").iterdir()
    if path.name.endswith(".chart")
}


@cache
def fingered(chart, position=None):
    music = spans(body(chart), loop=True)
    line = connected(music, *compass(STANDARD, position))
    return line, finger(line, position=position)


@pytest.mark.parametrize("name", CHARTS)
@pytest.mark.parametrize("position", [None, 4, 12])
def test_together_they_cost_what_the_fingering_costs(name, position):
    # The fingering's own sum is another module's; position I is left out, where it welcomes open
    # strings.
    line, fingering = fingered(CHARTS[name], position)
    found = movements(line, fingering)
    assert sum(one.points for one in found) == fingering.cost
    assert [one.tone for one in found] == list(sounding(line))


@pytest.mark.parametrize("name", CHARTS)
@pytest.mark.parametrize("position", [None, 1, 4, 12])
def test_whatever_has_points_has_a_name(name, position):
    for one in movements(*fingered(CHARTS[name], position)):
        assert bool(one.points) == bool(one.difficulties)
        assert set(one.difficulties) <= SEVERAL.keys()


@pytest.mark.parametrize("name", CHARTS)
def test_shifts_are_those_of_the_fingering(name):
    line, fingering = fingered(CHARTS[name])
    shifts = sum("shift" in one.difficulties for one in movements(line, fingering))
    assert shifts == fingering.shifts


def test_stretches_leave_the_four_frets(music):
    line = connected(music("G7 | Bo7 | Em7 | F#m7"), *compass(STANDARD, 5))
    fingering = finger(line, position=5)
    for one, stop in zip(movements(line, fingering), fingering.stops, strict=True):
        assert ("stretch" in one.difficulties) == (stop.fret in (4, 9))


def test_every_difficulty_comes_up_somewhere():
    names = {
        name
        for chart in CHARTS.values()
        for position in (None, 1, 4, 12)
        for one in movements(*fingered(chart, position))
        for name in one.difficulties
    }
    assert names == SEVERAL.keys()
