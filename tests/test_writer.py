"""The tidy text: what it looks like, for every chart in ``tests/charts/good``, and why.

``python tests/test_writer.py`` writes ``tests/golden/writer`` anew; read the difference before
keeping it.
"""

from importlib.resources import files
from pathlib import Path

import pytest

from chartkit.chart import Bar, Change, Chart, Section
from chartkit.reader import parse
from chartkit.theory.symbol import read_symbol
from chartkit.writer import write

HERE = Path(__file__).parent
GOOD = sorted((HERE / "charts" / "good").glob("*.chart"))
GOLDEN = HERE / "golden" / "writer"


def tidy(text):
    reading = parse(text, "x")
    assert reading.chart, "\n".join(map(str, reading.faults))
    return write(reading.chart)


def tidy_rows(rows, header=""):
    """The tidy rows of one section."""
    return tidy(f"Key: F\n{header}[A]\n{rows}\n").partition("[A]\n")[2].splitlines()


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_golden(path):
    golden = (GOLDEN / path.name).read_text(encoding="utf-8")
    assert tidy(path.read_bytes().decode()) == golden
    assert tidy(golden) == golden


def test_every_golden_has_its_chart():
    assert {path.name for path in GOLDEN.iterdir()} == {path.name for path in GOOD}


DEMOS = [path for path in files("chartkit.charts").iterdir() if path.name.endswith(".chart")]


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.name)
def test_demo_charts_are_tidy(path):
    text = path.read_text(encoding="utf-8")
    assert tidy(text) == text


def test_header_words_come_in_their_order():
    text = "Tempo: 120\nNote: b\nFeel: swing\nTitle: T\nNote: a\nMeter: 3/4\n[A]\nKey: C\nF7\n"
    assert tidy(text).splitlines()[:6] == [
        *("Title: T", "Meter: 3/4", "Feel: swing", "Tempo: 120", "Note: b", "Note: a"),
    ]


def test_bar_lines_stand_under_one_another():
    rows = tidy_rows("|: F7 | Bbmaj7 :|\nF7 C7 | D7 :|x3 G7 |\n|1. F7 :|2. C7 ||")
    assert rows == [
        "|:  F7     |   Bbmaj7 :|",
        "|   F7 C7  |   D7     :|x3 G7 |",
        "|1. F7    :|2. C7      ||",
    ]


def test_slashes_stand_only_where_they_are_needed():
    assert tidy_rows("F7 / / / | F7 / D7 / | F7 / / D7 | / / F7 / | / / / /") == [
        "| F7 | F7 D7 | F7 / / D7 | / / F7 / | / / / / |"
    ]


def test_neighbouring_turnarounds_share_their_brackets():
    assert tidy_rows("F7 (G7) (C7) / | (F7) / (C7) /") == ["| F7 (G7 C7 /) | (F7 C7) |"]


def test_marks_stand_where_they_act():
    rows = tidy_rows("F7 Segno | D.C. al Fine {3/4} C7 | Fine F7")
    assert rows == ["| Segno F7 | {3/4} C7 D.C. al Fine | F7 Fine |"]


def test_a_two_bar_simile_is_two_columns_wide():
    assert tidy_rows("F7 | Bb7 | %% | C7 |\nF7 | Bb7 | F7 | C7 | D7") == [
        "| F7 | Bb7 | %%      | C7 |",
        "| F7 | Bb7 | F7 | C7 | D7 |",
    ]


def test_a_long_cell_does_not_push_the_others_apart():
    long = '"twenty-five characters or so" F7'
    rows = tidy_rows(f"F7 | Bb7 |\n{long} | Bb7 |\nC7 | D7")
    assert rows == ["| F7 | Bb7 |", f"| {long} | Bb7 |", "| C7 | D7  |"]


SIGNS = {
    # What the two sides of a bar line say, and the one sign for it.
    "F7 || |: C7 :|": "| F7 ||: C7 :|",
    "F7 |] |: C7 :|": "| F7 |] |: C7 :|",
    "F7 :| |: C7 :|": "| F7 :|: C7 :|",
    "F7 :|x3 |: C7 :|": "| F7 :|x3 |: C7 :|",
    "F7 |1. C7 :|x2 2. D7": "| F7 |1. C7 :|x2 |2. D7 |",
    "F7 || 1. C7 :|": "| F7 ||1. C7 :|",
    "F7 :||: 1. C7 :|": "| F7 :|:1. C7 :|",
}


@pytest.mark.parametrize("written", SIGNS)
def test_bar_lines_that_meet_are_one_sign(written):
    assert tidy_rows(written) == [SIGNS[written]]


def test_a_chart_built_by_hand_is_written():
    change = Change(read_symbol("C7").chord, 4)
    bars = (Bar(1, (change,)), Bar(2, (change,), right="|]", ends_system=True))
    assert write(Chart((Section("A", bars),), title="By Hand")) == (
        "Title: By Hand\nMeter: 4/4\nFeel: swing\n\n[A]\n| C7 | C7 |]\n"
    )


if __name__ == "__main__":
    GOLDEN.mkdir(parents=True, exist_ok=True)
    for path in GOOD:
        (GOLDEN / path.name).write_text(tidy(path.read_bytes().decode()), encoding="utf-8")
