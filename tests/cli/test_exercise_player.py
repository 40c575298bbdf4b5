"""`exercise` for a hand and an instrument of the player's own, as it is typed."""

from pathlib import Path
from xml.etree import ElementTree as ET

import mido
import pytest


def notes(path):
    file = mido.MidiFile(path)
    return [m.note for m in file if m.type == "note_on" and m.velocity and m.channel != 9]


def numbers(path, tag):
    return [int(element.text) for element in ET.parse(path).iter(tag)]  # noqa: S314 (our own)


def test_reasons_are_told_on_standard_error(chartkit):
    told = chartkit("exercise", "tune.chart", "A", "--range", "E2-C5", "--reasons")
    assert told.code == 0
    assert told.out.endswith(".pdf\n")
    first, *shifts = told.err.splitlines()
    assert first.startswith("start in ")
    assert shifts
    assert all(line.startswith("shift to ") and "at bar" in line for line in shifts)


def test_reasons_of_several_exercises_stand_under_their_names(chartkit):
    words = ["--strings", "3-2-1", "--reasons", "--key-each-time", "C,Eb", "-o", "x.pdf"]
    told = chartkit("exercise", "tune.chart", "A", *words)
    assert told.code == 0
    names = [line for line in told.err.splitlines() if line.endswith(":")]
    assert names == [
        f"Connected arpeggio, strings 3-2-1, in {key} major:" for key in ("C", "E\u266d")
    ]


def test_in_a_position_there_is_nothing_to_tell(chartkit):
    told = chartkit("exercise", "tune.chart", "A", "--reasons")
    assert told.err == "the hand stays in its position\n"
    told = chartkit("exercise", "tune.chart", "A", "--instrument", "flute", "--reasons")
    assert "no frets" in told.err


def test_on_a_set_of_strings(chartkit):
    words = ["--strings", "4-3-2", "-o", "x.musicxml"]
    assert chartkit("exercise", "tune.chart", "A", *words).code == 0
    assert set(numbers("x.musicxml", "string")) <= {2, 3, 4}


def test_on_a_set_of_strings_in_a_position(chartkit):
    words = ["--strings", "5-4-3", "--position", "III", "-o", "x.musicxml"]
    assert chartkit("exercise", "tune.chart", "A", *words).code == 0
    assert set(numbers("x.musicxml", "string")) <= {3, 4, 5}
    assert set(numbers("x.musicxml", "fret")) <= set(range(2, 8))


def test_open_strings_and_the_worst_step(chartkit):
    files = []
    for number, words in enumerate(([], ["--open-strings"], ["--objective", "worst"])):
        words = ["--range", "E2-C5", *words, "-o", f"{number}.musicxml"]  # noqa: PLW2901
        assert chartkit("exercise", "tune.chart", "A", *words).code == 0
        files.append(Path(f"{number}.musicxml").read_text(encoding="utf-8"))
    assert len(set(files)) == 3


def test_another_tuning_is_played_where_it_lies(chartkit):
    words = ["--tuning", "drop D", "--position", "I", "--start", "D2"]
    assert chartkit("exercise", "tune.chart", "A", *words, "-o", "x.mid").code == 0
    assert notes("x.mid")[0] == 38


def test_where_a_note_is_missing_on_the_neck_the_line_keeps_above_it(chartkit):
    """In drop D position II has no A2: the low string ends on Ab2, the fifth begins on Bb2."""
    words = ["--tuning", "drop D", "--position", "II", "--kind", "scale", "-o", "x.mid"]
    assert chartkit("exercise", "tune.chart", "A", *words).code == 0
    assert min(notes("x.mid")) > 45


@pytest.mark.parametrize("name", ["tenor saxophone", "trombone", "ukulele", "bass guitar"])
def test_another_instrument_has_a_page_and_a_name(chartkit, made, name):
    told = chartkit("exercise", "tune.chart", "A", "--instrument", name)
    assert told.code == 0
    assert made() == [f"tune-A-connected-{name.replace(' ', '-')}.pdf"]


@pytest.mark.parametrize(
    ("name", "program"), [("guitar", 26), ("tenor saxophone", 66), ("flute", 73)]
)
def test_each_instrument_sounds_as_itself(chartkit, name, program):
    """General MIDI 1, programs from 0."""
    words = ["exercise", "tune.chart", "A", "--instrument", name, "-o", "x.mid"]
    assert chartkit(*words).code == 0
    (line,) = (track for track in mido.MidiFile("x.mid").tracks if track.name == "Line")
    assert {m.program for m in line if m.type == "program_change"} == {program}


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--strings", "9"], "numbered 1 to 6"),
        (["--strings", "a"], "not a set of strings"),
        (["--instrument", "flute", "--position", "V"], "say a range instead"),
        (["--instrument", "flute", "--strings", "1"], "no frets"),
        (["--tuning", "E2 E3"], "3 to 12 strings"),
    ],
)
def test_what_makes_no_sense_is_wrong_usage(chartkit, made, words, told):
    result = chartkit("exercise", "tune.chart", "A", *words)
    assert result.code == 2
    assert told in result.err
    assert made() == []
