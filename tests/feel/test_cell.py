"""The chord player's vocabulary."""

import pytest

from chartkit.feel import FEELS, patterns
from chartkit.feel.cell import Cell, cells

BUILT = [name for name, row in FEELS.items() if row.built and "comping" in patterns(name)]


def onsets(cell):
    return [[str(stroke.start) for stroke in strokes] for strokes in cell.strokes]


def test_a_bar_line_parts_two_bars_and_a_stroke_may_ring_over_it():
    cell = Cell.read("x- .x .. .X | -- .. x.")
    assert cell.bars == (4, 3)
    assert onsets(cell) == [["0", "3/2", "7/2"], ["2"]]
    assert cell.strokes[0][-1].length == 1.5
    assert [stroke.mark for stroke in cell.strokes[0]] == ["x", "x", "X"]


@pytest.mark.parametrize("name", BUILT)
def test_the_figures_of_a_feel_are_read_and_each_stands_there_once(name):
    texts = patterns(name)["comping"]["figures"]
    read = [Cell.read(text) for text in texts]
    assert len(set(read)) == len(read)
    assert {stroke.mark for cell in read for bar in cell.strokes for stroke in bar} <= {"x", "X"}


@pytest.mark.parametrize("beats", range(1, 9))
def test_a_bar_of_any_length_has_a_figure(beats):
    for cell in cells("swing", (beats,)):
        assert cell.bars == (beats,)
        (strokes,) = cell.strokes
        assert all(0 <= stroke.start < beats for stroke in strokes)


def test_five_beats_are_two_and_three_or_three_and_two():
    lengths = {
        (one, two)
        for one, two in ((2, 3), (3, 2))
        for first in cells("swing", (one,))
        for second in cells("swing", (two,))
        if len(first.strokes[0]) + len(second.strokes[0])
    }
    assert lengths == {(2, 3), (3, 2)}
    count = len(cells("swing", (2,))) * len(cells("swing", (3,)))
    assert len(cells("swing", (5,))) == 2 * count


def test_two_bars_of_other_lengths_have_no_figure_of_their_own():
    assert cells("swing", (4, 4))
    assert cells("swing", (4, 3)) == ()
