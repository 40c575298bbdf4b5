"""The hardest bars: more movement in less time, and loops of just those."""

from fractions import Fraction
from importlib.resources import files
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.difficulty.hardest import HardBar, bar_by_bar, hardest, loops
from chartkit.difficulty.movement import movements
from chartkit.exercise.connected import connected
from chartkit.form import BarId, bar_range, body
from chartkit.guitar.fingering import finger
from chartkit.guitar.fretboard import STANDARD, compass
from chartkit.harmony import spans
from chartkit.reader import parse

many = settings(derandomize=True, max_examples=200, deadline=None)
CHARTS = {
    path.name: parse(path.read_text(encoding="utf-8"), path.name).chart
    for path in files("chartkit.charts").iterdir()
    if path.name.endswith(".chart")
}


def looked_at(chart, position=5):
    music = spans(body(chart), loop=True)
    line = connected(music, *compass(STANDARD, position))
    return line, movements(line, finger(line, position=position))


def hard(number, points):
    return HardBar(BarId("A", number - 1, number), Fraction(points), ())


@pytest.mark.parametrize("name", CHARTS)
def test_twice_the_tempo_is_twice_as_hard(name):
    line, asked = looked_at(CHARTS[name])
    slow, fast = (bar_by_bar(line, asked, Fraction(tempo)) for tempo in (80, 160))
    assert [2 * bar.points for bar in slow] == [bar.points for bar in fast]
    assert hardest(slow, 4)
    assert [one.bar for one in hardest(slow, 4)] == [one.bar for one in hardest(fast, 4)]


@pytest.mark.parametrize("name", CHARTS)
def test_each_written_bar_is_as_hard_as_its_hardest_time(name):
    line, asked = looked_at(CHARTS[name])
    tempo = Fraction(120)
    found = bar_by_bar(line, asked, tempo)
    assert len({one.bar for one in found}) == len(found)
    for one in found:
        times = [
            sum(m.points for m in asked if start <= m.tone.start < start + length)
            / (length * 60 / tempo)
            for start, length in played(line, one.bar)
        ]
        assert one.points == max(times)


def played(line, bar):
    """Start and length of each time that a bar comes."""
    starts = sorted({span.bar_start for span in line.spans if span.bar == bar})
    for start in starts:
        inside = [span for span in line.spans if span.bar_start == start]
        yield start, sum(span.length for span in inside)


@pytest.mark.parametrize("name", CHARTS)
def test_a_loop_of_the_hardest_bars_is_just_those(name):
    chart = CHARTS[name]
    found = hardest(bar_by_bar(*looked_at(chart), Fraction(120)), 5)
    looped = [bar.source.number for ends in loops(found) for bar in bar_range(chart, *ends).bars]
    assert sorted(looped) == sorted(one.bar.number for one in found)


def test_the_hardest_come_first_and_still_ones_not_at_all():
    bars = [hard(1, 3), hard(2, 0), hard(3, 5), hard(4, 3)]
    assert [one.bar.number for one in hardest(bars, 3)] == [3, 1, 4]
    assert [one.bar.number for one in hardest(bars, 9)] == [3, 1, 4]


def test_a_pickup_is_no_bar_to_loop():
    assert hardest([HardBar(BarId("A", 0, 0), Fraction(9), ())], 3) == ()


def test_bars_that_follow_each_other_make_one_loop():
    numbers = [8, 3, 2, 11, 4]
    assert loops(hard(number, 1) for number in numbers) == ((2, 4), (8, 8), (11, 11))


@many
@given(st.sets(st.integers(1, 40)))
def test_loops_hold_the_bars_and_no_others(numbers):
    found = loops(hard(number, 1) for number in numbers)
    assert sorted(n for first, last in found for n in range(first, last + 1)) == sorted(numbers)
    assert all(one[1] + 1 < other[0] for one, other in pairwise(found))


def test_reasons_are_words():
    one = HardBar(BarId("A", 0, 1), Fraction(1), (("shift", 2), ("stretch", 1)))
    assert one.reasons == ("2 shifts", "1 stretch")
