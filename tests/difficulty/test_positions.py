"""The order of positions, and the reasons given for it."""

from fractions import Fraction
from importlib.resources import files
from math import inf

import pytest

from chartkit.difficulty.positions import POSITIONS, position_report, positions
from chartkit.exercise.connected import connected
from chartkit.form import body, excerpt
from chartkit.guitar.fingering import finger
from chartkit.guitar.fretboard import STANDARD, Tuning, compass
from chartkit.harmony import spans
from chartkit.reader import parse
from chartkit.theory.symbol import write_symbol

CHARTS = {
    path.name: parse(path.read_text(encoding="utf-8"), path.name).chart
    for path in files("chartkit.charts").iterdir()
    if path.name.endswith(".chart")
}
# Four strings a fifth apart leave gaps that six strings a fourth apart do not have.
FIFTHS = Tuning("fifths", (36, 43, 50, 57), 22)


@pytest.mark.parametrize("name", CHARTS)
def test_the_best_is_the_cheapest_to_play(name):
    music = spans(body(CHARTS[name]), loop=True)
    found = positions(music)
    assert sorted(one.position for one in found) == list(POSITIONS)
    assert [one.effort for one in found] == sorted(one.effort for one in found)
    for one in found:
        if one.position > 1:  # in position I the fingering welcomes open strings
            line = connected(music, *compass(STANDARD, one.position))
            cost = finger(line, position=one.position).cost
            assert one.effort == Fraction(cost) / len([n for n in line.notes if n.pitch])


def test_incomplete_arpeggios_are_named(music):
    found = position_report(music("Dm7 | G7 | Cmaj7"), 5, low=55, high=60)
    assert [write_symbol(one.chord) for one in found.incomplete] == ["Dm7", "G7", "Cmaj7"]
    assert found.reasons[0] == "incomplete: Dm7, G7, Cmaj7"


def test_what_lacks_a_tone_comes_after_what_does_not(music):
    found = positions(music("Cm7 | F7 | Bbmaj7"), FIFTHS, low=45, high=57)
    lacking = [len(one.incomplete) for one in found]
    assert lacking == sorted(lacking)
    assert lacking[0] < lacking[-1]


def test_where_there_is_no_line_the_effort_is_infinite(music):
    # Below the window of position XII there is nothing.
    found = position_report(music("Cm7 | F7"), 12, low=40, high=45)
    assert found.effort == inf
    assert [len(one.missing) for one in found.arpeggios] == [4, 4]


def test_a_short_neck_has_fewer_positions(music):
    short = Tuning("short", STANDARD.open_strings, 10)
    assert sorted(one.position for one in positions(music("C6 | G7"), short)) == list(range(1, 8))


def test_reasons(music):
    found = {one.position: one.reasons for one in positions(music("Fmaj7 | Bb6"))}
    assert found[5] == ("no stretches",)
    assert found[1][0].startswith("open strings in ")
    assert found[9][-1] == "past the body"
    assert "past the body" not in found[8]


def test_a_section_by_itself_has_an_order_of_its_own():
    chart = CHARTS["tram-change.chart"]
    one, other = (positions(spans(excerpt(chart, (label,)), loop=True)) for label in ("A", "B"))
    assert [r.position for r in one] != [r.position for r in other]
