"""`exercise` and `sheet`, as they are typed; what the pages hold is tested where they are made."""

from pathlib import Path

import mido
import pytest

MAGIC = {".pdf": b"%PDF", ".svg": b"<", ".png": b"\x89PNG", ".musicxml": b"<?xml", ".mid": b"MThd"}
EVERY = {".pdf", ".svg", ".png", ".musicxml", ".mid", ".wav", ".flac", ".ogg", ".mp3"}


def notes(path):
    file = mido.MidiFile(path)
    return [m.note for m in file if m.type == "note_on" and m.velocity and m.channel != 9]


def test_an_exercise_is_a_page_by_default(chartkit, made):
    told = chartkit("exercise", "tune.chart", "A")
    assert (told.code, told.out) == (0, "tune-A-connected.pdf\n")
    assert made() == ["tune-A-connected.pdf"]
    assert Path("tune-A-connected.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize("ending", list(MAGIC))
def test_the_ending_decides_the_format(chartkit, made, ending):
    assert chartkit("exercise", "tune.chart", "A", "-o", f"x{ending}").code == 0
    assert made() == [f"x{ending}"]
    assert Path(f"x{ending}").read_bytes().startswith(MAGIC[ending])


def test_a_folder_gets_every_format(chartkit):
    told = chartkit("exercise", "tune.chart", "A", "--position", "V", "-o", "out/")
    assert told.code == 0
    assert {path.suffix for path in Path("out").iterdir()} == EVERY
    assert {path.stem for path in Path("out").iterdir()} == {"tune-A-connected"}


def test_the_line_is_heard_alone_or_with_the_band(chartkit):
    chartkit("exercise", "tune.chart", "A", "--range", "40-86", "--start", "G2", "-o", "alone.mid")
    chartkit(
        "exercise",
        "tune.chart",
        "A",
        "--range",
        "40-86",
        "--start",
        "G2",
        "--with-band",
        "-o",
        "band.mid",
    )
    alone = notes("alone.mid")
    assert len(alone) == 4 * 8
    assert alone[:4] == [43, 46, 50, 53]  # Gm7 upward from its root
    assert len(notes("band.mid")) > len(alone)


def test_range_note_value_and_direction(chartkit):
    words = ["--range", "A2-C5", "--notes", "quarter", "--direction", "down", "--start", "72"]
    chartkit("exercise", "tune.chart", "A", *words, "-o", "x.mid")
    line = notes("x.mid")
    assert len(line) == 4 * 4
    assert line[:4] == [70, 67, 65, 62]  # Gm7 downward from the tone nearest C5
    assert min(line) >= 45


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--position", "5", "--range", "45-72"], "not with both"),
        (["--position", "0"], "not a position"),
        (["--range", "72-45"], "the lower note comes first"),
        (["--start", "H2"], "not a note"),
        (["--notes", "long"], "eighth"),
        (["-o", "x.doc"], ".pdf"),
    ],
)
def test_what_makes_no_sense_is_wrong_usage(chartkit, made, words, told):
    result = chartkit("exercise", "tune.chart", "A", *words)
    assert result.code == 2
    assert told in result.err
    assert made() == []


def test_a_range_too_small_says_where(chartkit, made):
    result = chartkit("exercise", "tune.chart", "A", "--range", "60-61")
    assert result.code == 1
    assert "Gm7" in result.err
    assert made() == []


def test_a_sheet_is_one_page(chartkit, made):
    told = chartkit("sheet", "tune.chart")
    assert (told.code, told.out) == (0, "tune.pdf\n")
    assert made() == ["tune.pdf"]


@pytest.mark.parametrize("ending", [".pdf", ".svg", ".png", ".musicxml"])
def test_a_sheet_in_every_format_and_key(chartkit, ending):
    told = chartkit("sheet", "tune.chart", "--key", "Db", "-o", f"x{ending}", "--paper", "letter")
    assert told.code == 0
    assert Path(f"x{ending}").read_bytes().startswith(MAGIC[ending])


def test_the_mode_is_kept(chartkit):
    told = chartkit("sheet", "tune.chart", "--key", "Dm")
    assert told.code == 2
    assert "say --key D" in told.err


@pytest.mark.parametrize("ending", [".pdf", ".mid"])
def test_sections_and_bars_are_not_asked_for_at_once(chartkit, made, ending):
    told = chartkit("exercise", "tune.chart", "A", "--bars", "2-3", "-o", f"x{ending}")
    assert (told.code, made()) == (2, [])
    assert "not for both" in told.err


@pytest.mark.parametrize(
    ("words", "first"),
    [(["exercise"], "The line:"), (["technique", "scales"], "The exercise:")],
)
def test_a_long_help_has_headings(chartkit, words, first):
    told = chartkit(*words, "--help").out
    headings = [first, "The player:", "The sound:", "A click:", "The page:", "The file:", "Other:"]
    found = [line for line in told.splitlines() if line in headings]
    assert sorted(found) == sorted(headings)
    assert found[0] == first
    assert found[-1] == "Other:"
