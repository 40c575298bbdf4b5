"""Whole exercises over the demo charts, fingered, beside a plain nearest-fret baseline.

The baseline takes for each note the place nearest to the last one on the neck (the lower fret of
two), keeps its hand where the window holds the fret and otherwise moves the first finger to it.
``pytest tests/guitar/test_baseline.py -s`` prints the table.
"""

from importlib.resources import files
from itertools import pairwise

import pytest

from chartkit.exercise import line_through
from chartkit.exercise.terms import Terms
from chartkit.form import body
from chartkit.guitar.fingering import finger
from chartkit.guitar.fretboard import STANDARD, pitch_at
from chartkit.harmony import spans
from chartkit.line import sounding
from chartkit.reader import read

CHARTS = sorted(
    path.name for path in files("chartkit.charts").iterdir() if path.name.endswith(".chart")
)
OPEN = {string: pitch_at(STANDARD, string, 0) for string in STANDARD.strings}


def line_over(name):
    chart = read(str(files("chartkit.charts") / name))
    return line_through(spans(body(chart), loop=True), "connected", Terms(40, 86))


def baseline(line):
    """How often the hand has to move from one nearest fret to the next."""
    last, hand, shifts = 5, None, 0
    for tone in sounding(line):
        frets = [tone.pitch.midi - low for low in OPEN.values()]
        there = [fret for fret in frets if 1 <= fret <= 22] or [0]
        last = min(there, key=lambda fret: (abs(fret - last), fret))
        if hand is None:
            hand = last
        elif last and not hand - 1 <= last <= hand + 4:
            hand, shifts = last, shifts + 1
    return shifts


def clashes(stops, hands):
    """How often one finger hops to another fret of another string while the hand stands still."""
    return sum(
        a.finger == b.finger > 0 and a.string != b.string and a.fret != b.fret and here == there
        for (a, here), (b, there) in pairwise(zip(stops, hands, strict=True))
    )


@pytest.fixture(scope="module")
def table(pytestconfig):
    rows = []
    yield rows
    if pytestconfig.getoption("capture") == "no":
        print("\nchart                     bars   shifts a bar: ours  baseline   hops")  # noqa: T201
        print("\n".join(rows))  # noqa: T201


@pytest.mark.parametrize("name", CHARTS)
def test_no_more_shifts_than_the_baseline(name, table):
    line = line_over(name)
    tones = sounding(line)
    fingering = finger(line)
    stops = [stop for stop in fingering.stops if stop]
    hands = [hand for hand in fingering.positions if hand]
    assert [OPEN[stop.string] + stop.fret for stop in stops] == [t.pitch.midi for t in tones]
    for stop, hand in zip(stops, hands, strict=True):
        assert stop.fret == 0 or hand - 1 <= stop.fret <= hand + 4
    shifts = baseline(line)
    assert fingering.shifts <= shifts
    bars = len({span.bar_start for span in line.spans})
    hops = clashes(stops, hands)
    table.append(
        f"{name:24} {bars:5} {fingering.shifts / bars:19.2f} {shifts / bars:9.2f} {hops:9}"
    )
