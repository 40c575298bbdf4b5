"""The choices of an exercise as they are typed; the lines are tested where they are made."""

from pathlib import Path

import mido
import pytest

from chartkit.exercise import KINDS


def notes(path):
    file = mido.MidiFile(path)
    return [m.note for m in file if m.type == "note_on" and m.velocity and m.channel != 9]


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_can_be_asked_for(chartkit, made, kind):
    assert chartkit("exercise", "tune.chart", "A", "--kind", kind, "-o", "x.mid").code == 0
    assert made() == ["x.mid"]
    assert notes("x.mid")


def test_choices_are_heard(chartkit):
    words = ["--kind", "arpeggio", "--notes", "quarter", "--range", "G2-G4"]
    words += ["--tones", "3-5-7-9", "--from", "fifth", "--shape", "turn-about"]
    chartkit("exercise", "tune.chart", "--bars", "1-2", *words, "-o", "x.mid")
    # Gm7 upward from its fifth through the ninth to the third, C7 downward from its fifth.
    assert notes("x.mid") == [50, 53, 57, 58, 55, 52, 50, 46]


def test_the_side_and_the_motif(chartkit):
    chartkit("exercise", "tune.chart", "A", "--kind", "approach", "--side", "above", "-o", "x.mid")
    chartkit("exercise", "tune.chart", "A", "--kind", "approach", "-o", "y.mid")
    assert notes("x.mid") != notes("y.mid")
    words = ["--kind", "motif", "--motif", "every-other-bar"]
    chartkit("exercise", "tune.chart", "A", *words, "-o", "z.mid")
    assert len(notes("z.mid")) == 2 * 5


def test_a_name_tells_the_choices(chartkit):
    words = ["--kind", "arpeggio", "--from", "third", "--direction", "down"]
    told = chartkit("exercise", "tune.chart", "A", *words)
    assert told.out == "tune-A-arpeggio-from-the-third-down.pdf\n"


def test_cadences_alone(chartkit):
    chartkit("exercise", "tune.chart", "A", "B", "--cadences", "-o", "x.mid")
    chartkit("exercise", "tune.chart", "A", "B", "-o", "y.mid")
    assert 0 < len(notes("x.mid")) < len(notes("y.mid"))


def test_an_option_of_another_kind_is_wrong_usage(chartkit, made):
    told = chartkit("exercise", "tune.chart", "--kind", "scale", "--tones", "triads")
    assert told.code == 2
    assert "`triads` means nothing here; it is for arpeggio, connected" in told.err
    told = chartkit("exercise", "tune.chart", "--kind", "guide-tones", "--notes", "half")
    assert (told.code, made()) == (2, [])
    assert "take no note value" in told.err


def test_a_week_has_its_exercises(chartkit):
    told = chartkit("exercise", "tune.chart", "A", "--week", "7", "-o", "out/")
    assert told.code == 0
    assert "week 7: lead to the beat by one note" in told.err
    assert sorted(path.name for path in Path("out").glob("*.pdf")) == [
        "tune-A-week-7-1-approach.pdf",
        "tune-A-week-7-2-approach-from-above.pdf",
        "tune-A-week-7-3-cells-turn-about.pdf",
    ]


def test_a_week_is_a_booklet_by_default(chartkit, made):
    told = chartkit("exercise", "tune.chart", "A", "--week", "7")
    assert (told.code, made()) == (0, ["tune-A-week-7.pdf"])


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--kind", "scale"], "leave out what kind they are"),
        (["--cadences"], "leave out what kind they are"),
        (["-o", "x.mid"], "name a folder with -o"),
    ],
)
def test_a_week_takes_no_kind_and_no_single_file(chartkit, made, words, sentence):
    told = chartkit("exercise", "tune.chart", "--week", "1", *words)
    assert (told.code, made()) == (2, [])
    assert sentence in told.err
