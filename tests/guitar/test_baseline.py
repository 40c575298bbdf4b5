"""Whole forms over the whole neck, fingered, beside a plain nearest-fret baseline.

The baseline takes for each note the place nearest to the last one on the neck (the lower fret of
two), keeps its hand where the window holds the fret and otherwise moves the first finger to it.
A finger hops where it has to be on two strings at different frets one after the other while the
hand stands still. ``pytest tests/guitar/test_baseline.py -s`` prints the table.
"""

from collections import Counter
from importlib.resources import files
from itertools import pairwise

import pytest

from chartkit.exercise import KINDS, line_through
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


def changes(name):
    return spans(body(read(str(files("chartkit.charts") / name))), loop=True)


def baseline(tones):
    """Return (string, fret, finger, hand) of each note, from one nearest fret to the next."""
    last, hand, held = 5, 5, []
    for tone in tones:
        frets = {string: tone.pitch.midi - low for string, low in OPEN.items()}
        there = [(string, fret) for string, fret in frets.items() if 1 <= fret <= 22]
        there = there or [(string, 0) for string, fret in frets.items() if fret == 0]
        near = last
        string, last = min(there, key=lambda at: (abs(at[1] - near), at[1]))
        if last and (not held or not hand - 1 <= last <= hand + 4):
            hand = last
        held.append((string, last, min(max(last - hand, 0), 3) + 1 if last else 0, hand))
    return held


def counted(held):
    steps = list(pairwise(held))
    return {
        "shifts": sum(one[3] != other[3] for one, other in steps),
        "hops": sum(
            one[2] == other[2] > 0
            and one[0] != other[0]
            and one[1] != other[1]
            and one[3] == other[3]
            for one, other in steps
        ),
    }


@pytest.fixture(scope="module")
def table(pytestconfig):
    found = {}
    yield found
    if pytestconfig.getoption("capture") == "no":
        print("\nkind          bars  notes   shifts a bar: ours  baseline   hops: ours  baseline")  # noqa: T201
        for kind, n in found.items():
            ours, theirs = n["shifts"] / n["bars"], n["their shifts"] / n["bars"]
            print(  # noqa: T201
                f"{kind:12} {n['bars']:5} {n['notes']:6} {ours:20.2f} {theirs:9.2f} "
                f"{n['hops']:12} {n['their hops']:9}"
            )


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", CHARTS)
def test_no_more_shifts_than_the_baseline(name, kind, table):
    line = line_through(changes(name), kind, Terms(40, 86))
    tones, fingering = sounding(line), finger(line)
    joined = zip(fingering.stops, fingering.positions, line.notes, strict=True)
    held, tied = [], False
    for stop, hand, note in joined:
        if stop and not tied:
            held.append((stop.string, stop.fret, stop.finger, hand))
        tied = note.tie
    assert [OPEN[string] + fret for string, fret, *_ in held] == [t.pitch.midi for t in tones]
    assert all(fret == 0 or hand - 1 <= fret <= hand + 4 for _, fret, _, hand in held)
    ours, theirs = counted(held), counted(baseline(tones))
    assert ours["shifts"] == fingering.shifts <= theirs["shifts"]
    table.setdefault(kind, Counter()).update(
        {
            "bars": len({span.bar_start for span in line.spans}),
            "notes": len(tones),
            **ours,
            **{f"their {name}": count for name, count in theirs.items()},
        }
    )
