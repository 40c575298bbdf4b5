"""`shapes`, as it is typed; where the dots stand is tested where diagrams are drawn."""

from pathlib import Path

import pdfplumber
import pytest


def read(name):
    with pdfplumber.open(name) as pdf:
        text = "\n".join(page.extract_text() for page in pdf.pages)
        return text, sum(len(page.objects.get("curve", ())) for page in pdf.pages)


@pytest.mark.parametrize(
    ("words", "name", "title", "dots"),
    [
        # C major has five triad shapes of three notes on strings 3-2-1; three notes on each of
        # six strings.
        (["C", "--voicing", "triad"], "C-triad.pdf", "C: triad on strings 3-2-1", 15),
        (["Cmaj7", "--voicing", "drop 2"], "Cmaj7-drop-2.pdf", "strings 4-3-2-1", None),
        (["G dorian", "--position", "V"], "G-dorian-V.pdf", "G dorian, position V", None),
        (["G major", "--three-a-string"], "G-major.pdf", "G major, three notes a string", 18),
        (["Am7"], "Am7.pdf", "Am7", None),
        (["Bb7", "--position", "6", "--left-handed"], "Bb7-VI.pdf", "position VI", None),
        (["e minor", "--tuning", "drop D"], "e-minor.pdf", "E minor", None),
        (["F7", "--instrument", "bass guitar", "--label", "degrees"], "F7.pdf", "F7", None),
    ],
)
def test_what_is_asked_for_is_drawn(chartkit, words, name, title, dots):
    told = chartkit("shapes", *words)
    assert (told.code, told.out, told.err) == (0, f"{name}\n", "")
    text, found = read(name)
    assert title in text
    assert found == dots if dots else found > 3


@pytest.mark.parametrize("ending", [".svg", ".png"])
def test_the_ending_decides_the_format(chartkit, ending):
    assert chartkit("shapes", "Bb7", "--large", "-o", f"x{ending}").code == 0
    assert Path(f"x{ending}").stat().st_size > 1000


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["H7"], "neither a chord nor a scale"),
        (["G sideways"], "neither a chord nor a scale"),
        (["G dorian", "--voicing", "triad"], "a voicing is of a chord"),
        (["G7", "--voicing", "triad", "--strings", "4-3-2-1"], "takes 3 of the strings"),
        (["G7", "--strings", "3-2-1"], "say --voicing too"),
        (["G7", "--voicing", "triad", "--position", "5"], "say one of"),
        (["G7", "--instrument", "flute"], "has no frets"),
        (["G7", "-o", "x.musicxml"], ".pdf"),
    ],
)
def test_what_makes_no_sense_is_wrong_usage(chartkit, made, words, sentence):
    told = chartkit("shapes", *words)
    assert (told.code, made()) == (2, [])
    assert sentence in told.err


def test_each_shape_of_a_voicing_tells_its_lowest_tone(chartkit):
    assert chartkit("shapes", "Am6", "--voicing", "drop 2", "-o", "x.pdf").code == 0
    text, _ = read("x.pdf")
    for tone in ("root", "third", "fifth", "sixth"):
        assert f"{tone} lowest" in text
