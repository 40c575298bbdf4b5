"""Lines and their fingerings on the charts that come with the program.

``python -m pytest -m sweep -s tests/exercise/test_on_charts.py`` goes through every section, key,
position and note value, and prints how often the hand shifts beside a naive fingering.
"""

from fractions import Fraction
from importlib.resources import files
from itertools import pairwise

import pytest

from chartkit.errors import CannotPlay
from chartkit.exercise.connected import connected
from chartkit.form import chorus, excerpt
from chartkit.guitar.fingering import finger
from chartkit.guitar.fretboard import STANDARD, compass, places, window
from chartkit.harmony import spans
from chartkit.line import sounding
from chartkit.reader import parse
from chartkit.transpose import transpose

CHARTS = sorted(
    (path for path in files("chartkit.charts").iterdir() if path.name.endswith(".chart")),
    key=lambda path: path.name,
)
NAMES = [path.name for path in CHARTS]
EIGHTH = Fraction(1, 2)
VALUES = [Fraction(2), Fraction(1), EIGHTH, Fraction(1, 3), Fraction(1, 4)]


def test_there_are_charts():
    assert len(CHARTS) >= 8


def chart_of(path, semitones=0):
    chart = parse(path.read_text(encoding="utf-8"), path.name).chart
    return transpose(chart, semitones) if semitones else chart


def forms(chart):
    """Every section by itself and the whole form."""
    yield from ((section.label, excerpt(chart, (section.label,))) for section in chart.sections)
    yield "whole form", chorus(chart)


def line_through(form, low, high, value=EIGHTH):
    """The line, or the reason why there is none."""
    try:
        return connected(spans(form, loop=True), low, high, value=value)
    except CannotPlay as reason:
        return str(reason)


def faults(line, low, high):
    """What the definition forbids, told apart from how lines are made."""
    heard = [(tone.pitch.midi, tones_at(line, tone.start)) for tone in sounding(line)]
    for pitch, (tones, _) in heard:
        if not low <= pitch <= high or pitch % 12 not in tones:
            yield f"{pitch} is none of {sorted(tones)}"
    way = None
    for (last, (_, bar)), (pitch, (tones, new_bar)) in pairwise(heard):
        up = pitch > last
        beyond = range(last + 1, high + 1) if way else range(low, last)
        if way not in {None, up} and {one % 12 for one in beyond} & tones:
            yield f"it turns from {last} to {pitch} before the rim"
        if pitch == last or (bar != new_bar and abs(pitch - last) > largest_gap(tones)):
            yield f"it goes from {last} to {pitch} over the bar line"
        way = up


def tones_at(line, beat):
    span = [span for span in line.spans if span.start <= beat][-1]
    root = span.chord.root.pitch_class
    return {(root + degree.semitones) % 12 for degree in span.chord.essential}, span.bar_start


def largest_gap(tones):
    ordered = sorted(tones)
    return max(after - tone for tone, after in pairwise([*ordered, ordered[0] + 12]))


def check(line, low, high, fingering, frets):
    assert not list(faults(line, low, high))
    for note, stop in zip(line.notes, fingering.stops, strict=True):
        assert (note.pitch is None) == (stop is None)
        if stop:
            assert STANDARD.open_strings[-stop.string] + stop.fret == note.pitch.midi
            assert stop.fret in frets


@pytest.mark.parametrize("path", CHARTS, ids=NAMES)
def test_every_section_in_some_positions(path):
    for index, (_, form) in enumerate(forms(chart_of(path))):
        position = 1 + (5 * index) % 12
        low, high = compass(STANDARD, position)
        line = line_through(form, low, high)
        if not isinstance(line, str):
            check(line, low, high, finger(line, position=position), window(position))


@pytest.mark.parametrize("path", CHARTS, ids=NAMES)
def test_the_whole_form_over_the_whole_neck(path):
    low, high = compass(STANDARD)
    line = line_through(chorus(chart_of(path)), low, high)
    if not isinstance(line, str):
        check(line, low, high, finger(line), range(23))


@pytest.mark.sweep
@pytest.mark.parametrize("semitones", range(12))
@pytest.mark.parametrize("path", CHARTS, ids=NAMES)
def test_every_section_key_position_and_note_value(path, semitones):
    for _, form in forms(chart_of(path, semitones)):
        for position in range(1, 13):
            low, high = compass(STANDARD, position)
            for value in VALUES:
                line = line_through(form, low, high, value)
                if isinstance(line, str):
                    assert line.startswith(("bar", "there is no chord"))
                    continue
                check(line, low, high, finger(line, position=position), window(position))


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


def shifts_a_bar(path, low, high):
    """Shifts of the least-cost fingering and of the naive one, or a dash where there is no line."""
    form = chorus(chart_of(path))
    line = line_through(form, low, high)
    if isinstance(line, str):
        return "-"
    ours, theirs = finger(line).shifts, naive([tone.pitch.midi for tone in sounding(line)])
    assert ours <= theirs
    return f"{ours / len(form.bars):.2f} / {theirs / len(form.bars):.2f}"


@pytest.mark.sweep
def test_shifts_beside_a_naive_fingering():
    rows = [
        ["shifts a bar: least cost / nearest fret", *RANGES],
        *([path.name, *(shifts_a_bar(path, *ends) for ends in RANGES.values())] for path in CHARTS),
    ]
    table = (f"{name:40}" + "".join(f"{cell:>16}" for cell in cells) for name, *cells in rows)
    print("", *table, sep="\n")  # noqa: T201 (the table is what is asked for)
