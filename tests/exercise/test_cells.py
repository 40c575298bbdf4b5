"""Cells of four notes: worked examples, and their definition on every chart."""

from itertools import pairwise

import pytest

from chartkit.exercise.cells import cells
from chartkit.exercise.terms import Terms
from chartkit.line_options import LineOptions

# 1 2 3 5 (0 2 4 7), minor 0 2 3 7, half-diminished 0 3 5 6, diminished 0 2 3 6 [common practice].
STEPS = {
    "Cmaj7": (0, 2, 4, 7),
    "C6": (0, 2, 4, 7),
    "C13": (0, 2, 4, 7),
    "Cm7": (0, 2, 3, 7),
    "Cm(maj7)": (0, 2, 3, 7),
    "Cm7b5": (0, 3, 5, 6),
    "Cdim7": (0, 2, 3, 6),
    "Cdim": (0, 2, 3, 6),
    "C7sus": (0, 2, 5, 7),
    "C+": (0, 2, 4, 8),
    "C7b9": (0, 1, 4, 7),
    "C7#9": (0, 1, 4, 7),
    "C9#11": (0, 2, 4, 7),
    "C7alt": (0, 1, 4, 8),
}


@pytest.mark.parametrize("symbol", STEPS)
def test_the_steps_of_every_sort_of_chord(tune, symbol):
    notes = cells(tune(symbol), Terms(48, 71)).notes
    assert [note.pitch.midi for note in notes] == [48 + step for step in STEPS[symbol] * 2]


WORKED = {
    LineOptions(): "D3 E3 F3 A3 D3 E3 F3 A3 | G3 A3 B3 D4 G3 A3 B3 D4 | C4 D4 E4 G4 C4 D4 E4 G4",
    LineOptions(
        shape="there-and-back"
    ): "D3 E3 F3 A3 F3 E3 D3 E3 | G3 A3 B3 D4 B3 A3 G3 A3 | C4 D4 E4 G4 E4 D4 C4 D4",
    LineOptions(
        shape="turn-about"
    ): "D3 E3 F3 A3 D3 E3 F3 A3 | D4 B3 A3 G3 D4 B3 A3 G3 | C4 D4 E4 G4 C4 D4 E4 G4",
}


@pytest.mark.parametrize("options", WORKED)
def test_worked_examples(tune, written, options):
    line = cells(tune("Dm7 | G7 | Cmaj7"), Terms(45, 72, options=options))
    assert written(line) == WORKED[options]


@pytest.mark.parametrize("symbol", ["C5", "Csus2"])
def test_a_third_that_the_symbol_lacks_is_the_scale_s(tune, symbol):
    notes = cells(tune(symbol), Terms(48, 71)).notes
    assert [note.pitch.midi for note in notes][:4] == [48, 50, 52, 55]


def bounce(number, count):
    number %= 2 * (count - 1)
    return min(number, 2 * (count - 1) - number)


def steps_of(case, index):
    chord, parts = case.spans[index].chord, case.parts(index)
    ninths = {degree.semitones for degree in chord.degrees if degree.number == 9}
    second = 1 if ninths & {13, 15} and 14 not in ninths else 2
    if (parts.third, parts.fifth, parts.seventh) == (3, 6, 10):
        return [0, 3, 5, 6]
    return [0, second, parts.third, parts.fifth]


def check(case):
    """The chord's own cell over and over, or up and down, in one place."""
    case.check_even()
    case.check_layout()
    for (index, notes), up in zip(case.by_chord, case.directions, strict=True):
        steps = steps_of(case, index)[:: 1 if up else -1]
        back = case.options.shape == "there-and-back"
        wanted = [steps[bounce(n, 4) if back else n % 4] for n in range(len(notes))]
        root = case.spans[index].chord.root.pitch_class
        assert (notes[0].pitch.midi - root - wanted[0]) % 12 == 0
        moves = [after.pitch.midi - note.pitch.midi for note, after in pairwise(notes)]
        assert moves == [after - step for step, after in pairwise(wanted)]


SHAPES = [LineOptions(shape=shape) for shape in (None, "there-and-back", "turn-about")]


def test_on_charts(on_charts):
    on_charts(check, "cells", *SHAPES)


@pytest.mark.sweep
def test_on_every_chart(on_every_chart):
    on_every_chart(check, "cells", *SHAPES)
