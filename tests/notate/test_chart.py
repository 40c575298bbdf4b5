"""A written chart as a sheet: a golden with every sign, and each rule by itself.

``python tests/notate/test_chart.py`` writes the golden anew; read the difference before keeping it.
"""

from fractions import Fraction
from pathlib import Path

import pytest

from chartkit.chart import Meter
from chartkit.notate import notate_chart
from chartkit.notate.symbols import symbol_text
from chartkit.reader import parse
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName

GOLDEN = Path(__file__).parent.parent / "golden" / "notate"

HEADS = {"slash": "/", "hit": "x", "rest": "r", "bar rest": "R"}


def sheet(text, **more):
    reading = parse(text, "test.chart")
    assert reading.chart, reading.faults
    return notate_chart(reading.chart, **more)


def bars(text, **more):
    return sheet(f"[A]\n{text}\n", **more).measures


def rhythm(measure):
    """Write events as heads and quarters: ``/ / x1/2~ x1`` (a plain slash is a beat)."""
    if measure.simile:
        return {1: "%", 2: "%%", -2: ".."}[measure.simile]
    return " ".join(
        ("" if not e.short else "^")
        + HEADS[e.kind]
        + ("" if e.kind == "slash" else str(e.value.length))
        + ("~" if e.tied_on else "")
        for e in measure.events
    )


def symbols(measure):
    return " ".join(f"{symbol_text(c)}@{c.start}" for c in measure.chords)


def signs(m):
    """Write everything else that stands at a measure."""
    found = [
        f"[{m.rehearsal}]" * bool(m.rehearsal),
        str(m.key or ""),
        str(m.meter or ""),
        m.feel,
        *(f"{mark.sign.value}{' last time' * mark.last_time}" for mark in m.marks),
        *(f'"{w.text}"@{w.start}' for w in m.words),
        f"ending {','.join(map(str, m.ending))} starts" * bool(m.ending),
        f"ending {','.join(map(str, m.ended))} stops" * bool(m.ended),
        f"x{m.times}" * bool(m.times),
    ]
    return ", ".join(filter(None, found))


def shown(made):
    """Write a sheet as text: one measure a line, a blank line before each system."""
    rows = [f"{made.title} / {made.composer} / {made.tempo.quarters} / {made.notes}"]
    for m in made.measures:
        rows += [""] * m.new_system
        body = f"{m.left} {rhythm(m)} {m.right}"
        rows.append(f"{m.id.number:>3}  {body:<38}  {symbols(m)}  ; {signs(m)}".rstrip(" ;"))
    return "\n".join(rows) + "\n"


def test_every_sign_stands_where_the_file_has_it():
    text = (GOLDEN / "everything.chart").read_text(encoding="utf-8")
    assert shown(sheet(text)) == (GOLDEN / "everything.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("head", "bar", "expected"),
    [
        ("", "F7", "/ / / /"),
        ("", "F7 / / D7", "/ / / /"),
        ("Meter: 3/4\n", "F7", "/ / /"),
        ("Meter: 12/8\n", "F7 D7", "/ / / /"),
        ("Meter: 2/2\n", "F7 D7", "/ / / /"),
        ("Meter: 7/4\n", "F7 / / / / / /", "/ / / / / / /"),
        ("", "N.C.", "R4"),
        ("", "N.C. F7", "r2 / /"),
        ("", "F7! / / /", "^x1 r1 r2"),
        ("", "F7! D7", "^x1 r1 / /"),
        ("", "F7 >D7", "/ x1/2 x1/2~ x1 /"),
        ("", "F7 >D7!", "/ x1/2 ^x1/2 r2"),
        ("", "N.C. >D7", "r1 r1/2 x1/2~ x1 /"),
        ("", "F7 >D7 >Bb7 >G7", "x1/2 x1/2~ x1/2 x1/2~ x1/2 x1/2~ x1"),
        ("Meter: 12/8\n", "F7 >D7", "/ x1 x1/2~ x3/2 /"),
        ("Meter: 2/2\n", "F7 >D7", "/ x1/2 x1/2~ x1 /"),
    ],
)
def test_the_rhythm_of_a_bar(head, bar, expected):
    (measure,) = sheet(f"{head}[A]\n| {bar} |\n").measures
    assert rhythm(measure) == expected
    assert sum(e.value.length for e in measure.events) == measure.length


def test_a_stop_is_silent_until_the_next_chord():
    assert [rhythm(m) for m in bars("| F7! | / / / / | / / D7 / |")] == [
        "^x1 r1 r2",
        "R4",
        "r2 / /",
    ]


def test_a_push_is_written_in_the_bar_before():
    first, second = bars("| F7 | >Bb7 |")
    assert rhythm(first) == "/ / / x1/2 x1/2~"
    assert rhythm(second) == "x1 / / /"
    assert (symbols(first), symbols(second)) == ("F7@0 B♭7@7/2", "")


def test_a_push_over_a_system_break_has_its_symbol_on_both_sides():
    first, second = bars("| F7 | >Bb7 |\n| >Gm7 | C7 |")[1:3]
    assert symbols(first) == "Gm7@7/2"
    assert symbols(second) == "Gm7@0"
    assert rhythm(second).startswith("x1")


def test_a_simile_is_written_out_to_hold_a_push():
    assert [rhythm(m) for m in bars("| F7 | % | % | >Bb7 |")] == [
        "/ / / /",
        "%",
        "/ / / x1/2 x1/2~",
        "x1 / / /",
    ]


def test_a_simile_written_out_begins_with_the_push_it_copies():
    # `| >F7 | % |` copies the push, so the bar before holds it too.
    assert [rhythm(m) for m in bars("| C7 | >F7 | % | >Bb7 |")] == [
        "/ / / x1/2 x1/2~",
        "x1 / / x1/2 x1/2~",
        "x1 / / x1/2 x1/2~",
        "x1 / / /",
    ]


def test_a_push_that_cannot_be_written_early_is_named():
    (first,) = bars("| >F7 |")
    assert rhythm(first) == "/ / / /"
    assert [w.text for w in first.words] == ["push"]
    # What follows the repeated bar is pushed the first time only.
    row = bars("|: F7 | C7 :| >Bb7 | F7 |")
    assert [rhythm(m) for m in row] == ["/ / / /"] * 4
    assert [[w.text for w in m.words] for m in row] == [[], [], ["push"], []]
    # The two-bar sign cannot hold it.
    row = bars("| F7 | C7 | %% | >Bb7 |")
    assert [w.text for w in row[4].words] == ["push"]


def test_a_push_goes_round_a_repeat_that_always_comes_to_it():
    row = bars("| C7 |: >F7 | C7 :| >F7 |")
    assert [rhythm(m) for m in row] == [
        "/ / / x1/2 x1/2~",
        "x1 / / /",
        "/ / / x1/2 x1/2~",
        "x1 / / /",
    ]


def test_turnarounds_are_bracketed_bar_by_bar():
    row = bars("| F7 (D7) | (Gm7 C7) |")
    assert [symbols(m) for m in row] == ["F7@0 (D7)@2", "(Gm7@0 C7)@2"]


def test_a_two_bar_simile_is_two_measures_with_the_signs_at_its_ends():
    row = bars("|: F7 | C7 | Segno %% Fine :|")
    assert [m.id.number for m in row] == [1, 2, 3, 4]
    assert [[mark.sign.value for mark in m.marks] for m in row[2:]] == [["Segno"], ["Fine"]]
    assert row[3].right == ":|"


def test_lines_of_the_file_are_systems():
    text = "| F7 | F7 |\n| F7 | F7 | F7 |\n| F7 |"
    assert [m.new_system for m in bars(text)] == [True, False, True, False, False, False]
    assert [m.new_system for m in bars(text, reflow=True)] == [True, *[False] * 3, True, False]


def test_reflow_does_not_split_endings():
    row = bars("|: F7 | F7 | F7 |1. F7 | F7 :|2. F7 | F7 |", reflow=True)
    assert not row[4].new_system
    assert not row[6].new_system


def test_a_last_ending_is_bracketed_no_further_than_its_system():
    row = bars("|: F7 | F7 |1. F7 :|2. F7 | F7 |\n| F7 | F7 |")
    assert [m.ended for m in row] == [(), (), (1,), (), (2,), (), ()]


def test_bar_lines_close_sections_and_the_chart():
    made = sheet("[A]\n| F7 | F7 |\n[B]\n| F7 :|\n[C]\n| F7 | F7 |\n")
    assert [m.right for m in made.measures] == ["|", "||", ":|", "|", "|]"]
    assert [m.rehearsal for m in made.measures] == ["A", "", "B", "C", ""]


def test_signatures_go_back_with_the_section():
    text = "Key: F\n[A]\n| {3/4} F7 | F7 |\n[B]\nKey: G\n| F7 | F7 |\n[C]\n| F7 | F7 |\n"
    made = sheet(text)
    assert [m.meter for m in made.measures] == [Meter(3), None, Meter(4), None, None, None]
    f, g = Key(NoteName("F")), Key(NoteName("G"))
    assert [m.key for m in made.measures] == [f, None, g, None, f, None]


def test_the_playing_order_is_named_where_it_is_not_the_pages():
    text = "Form: A A B\nSolos: A B\n[A]\n| F7 | F7 |\n[B]\n| F7 | F7 |\n"
    assert sheet(text).subtitle == "Form: A A B   Solos: A B"
    assert sheet("[A]\n| F7 |\n").subtitle == ""


def test_events_fill_every_measure_of_the_demo_charts():
    from importlib.resources import files

    charts = [p for p in files("chartkit.charts").iterdir() if p.name.endswith(".chart")]
    assert charts
    for path in charts:
        for measure in sheet(path.read_text(encoding="utf-8")).measures:
            ends = [Fraction(0), *(e.end for e in measure.events)]
            assert [e.start for e in measure.events] == ends[:-1]
            assert ends[-1] == measure.length


if __name__ == "__main__":
    text = (GOLDEN / "everything.chart").read_text(encoding="utf-8")
    (GOLDEN / "everything.txt").write_text(shown(sheet(text)), encoding="utf-8")
