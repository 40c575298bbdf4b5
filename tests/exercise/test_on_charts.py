"""Every kind of line can be fingered, on the charts that come with the program.

``python -m pytest -m sweep -s tests/exercise/test_on_charts.py`` goes through every part, position
and note value, keys in turn, and prints how often the hand shifts beside a naive fingering.
"""

from fractions import Fraction
from itertools import cycle, product

import pytest

from chartkit.exercise import KINDS
from chartkit.exercise.connected import connected
from chartkit.guitar.fingering import finger
from chartkit.guitar.fretboard import STANDARD, places, window
from chartkit.line import sounding
from chartkit.line_options import LineOptions

EIGHTH = Fraction(1, 2)
VALUES = [Fraction(2), Fraction(1), EIGHTH, Fraction(1, 3), Fraction(1, 4)]
PARTS = ["form", 0, 1, 2]
NOTHING = LineOptions()


def check_fingering(case, position):
    """Each note is stopped where it sounds as written, in the position's window."""
    frets = range(STANDARD.frets + 1) if position is None else window(position)
    fingering = finger(case.line, position=position)
    for note, stop in zip(case.line.notes, fingering.stops, strict=True):
        assert (note.pitch is None) == (stop is None)
        if stop:
            assert STANDARD.open_strings[-stop.string] + stop.fret == note.pitch.midi
            assert stop.fret in frets
    if position:
        assert fingering.shifts == 0


@pytest.mark.parametrize("kind", KINDS)
def test_a_part_in_some_position(chart_case, chart_name, kind):
    number = list(KINDS).index(kind)
    for part in (0, 1):
        position = 1 + (5 * number + 7 * part + len(chart_name)) % 12
        case = chart_case(kind, (chart_name, part, number, position, EIGHTH, True, NOTHING))
        check_fingering(case, position)


def test_the_whole_form_over_the_whole_neck(chart_case, chart_name):
    case = chart_case("connected", (chart_name, "form", 0, None, EIGHTH, True, NOTHING))
    check_fingering(case, None)


@pytest.mark.sweep
@pytest.mark.parametrize("kind", KINDS)
def test_every_part_position_and_note_value(chart_case, chart_name, kind):
    places = product(PARTS, range(1, 13), VALUES)
    for semitones, (part, position, value) in zip(cycle(range(12)), places, strict=False):
        case = chart_case(kind, (chart_name, part, semitones, position, value, True, NOTHING))
        if case:
            check_fingering(case, position)


def naive(pitches):
    """The place nearest to the last fret, whatever comes next, as a count of shifts.

    Each place is then held from the position that serves longest.
    """
    fret, shifts, serving = 3, 0, set(range(1, 20))
    for pitch in pitches:
        _, fret = min(places(STANDARD, pitch), key=lambda place: abs(place[1] - fret))
        now = {p for p in range(1, 20) if fret in window(p)}
        serving &= now
        if not serving:
            shifts, serving = shifts + 1, now
    return shifts


RANGES = {"A2-C5": (45, 72), "G2-G5": (43, 79), "E2-D6": (40, 86)}


@pytest.mark.sweep
def test_shifts_beside_a_naive_fingering(chart_case, chart_name):
    case = chart_case("connected", (chart_name, "form", 0, None, EIGHTH, True, NOTHING))
    bars = len({span.bar_start for span in case.spans})
    told = [f"{chart_name:28} shifts a bar, least cost / nearest fret:"]
    for name, ends in RANGES.items():
        line = connected(case.spans, *ends)
        ours, theirs = finger(line).shifts, naive([tone.pitch.midi for tone in sounding(line)])
        assert ours <= theirs
        told.append(f"{name} {ours / bars:.2f} / {theirs / bars:.2f}")
    print("  ".join(told))  # noqa: T201 (the table is what is asked for)
