"""Booklets, single staves and large print, as they are typed."""

import re
from io import BytesIO
from pathlib import Path

import mido
import pdfplumber
import pytest


def words(name):
    with pdfplumber.open(BytesIO(Path(name).read_bytes())) as pdf:
        return [page.extract_text() for page in pdf.pages]


def test_several_exercises_are_a_booklet(chartkit, made):
    kinds = ["--kind", "connected", "--kind", "guide-tones"]
    told = chartkit("exercise", "tune.chart", "A", *kinds, "--position", "5", "--position", "VII")
    assert (told.code, told.out) == (0, "tune-A-exercises.pdf\n")
    assert made() == ["tune-A-exercises.pdf"]
    text = "\n".join(words("tune-A-exercises.pdf"))
    for title in ("Connected arpeggio, position V", "Guide tones, position VII"):
        assert text.count(title + "\n") >= 1, text


@pytest.mark.parametrize(
    ("ending", "code"), [(".pdf", 0), (".png", 0), (".musicxml", 2), (".mid", 2)]
)
def test_a_booklet_is_pages(chartkit, made, ending, code):
    kinds = ["--kind", "connected", "--kind", "guide-tones"]
    told = chartkit("exercise", "tune.chart", "A", *kinds, "-o", f"x{ending}")
    assert told.code == code
    assert len(made()) == (1 - code // 2)


def test_a_folder_gets_each_exercise_by_itself(chartkit):
    told = chartkit(
        "exercise", "tune.chart", "A", "--position", "5", "--position", "7", "-o", "out/"
    )
    assert told.code == 0
    names = {path.stem for path in Path("out").iterdir()}
    assert names == {"tune-A-connected-V", "tune-A-connected-VII"}


def test_staves_and_large_print(chartkit):
    sizes = {}
    for name, more in {
        "both": (),
        "staff": ("--staves", "staff"),
        "tab": ("--staves", "tab"),
        "large": ("--large",),
    }.items():
        told = chartkit("exercise", "tune.chart", "A", *more, "-o", f"{name}.pdf")
        assert told.code == 0
        with pdfplumber.open(f"{name}.pdf") as pdf:
            digits = [c for c in pdf.pages[0].chars if c["text"].isdigit()]
            sizes[name] = (len(digits), max(c["size"] for c in digits))
    assert sizes["staff"][0] < sizes["both"][0]  # no frets
    assert sizes["tab"][0] == sizes["both"][0]
    assert sizes["large"][1] > 1.3 * sizes["both"][1]


def test_the_chart_in_large_print(chartkit):
    assert chartkit("sheet", "tune.chart", "--large").code == 0
    assert Path("tune.pdf").read_bytes().startswith(b"%PDF")


def test_diagrams_of_each_chord_stand_under_the_exercise(chartkit):
    words = ["exercise", "tune.chart", "A", "--position", "5", "-o"]
    assert chartkit(*words, "plain.pdf").code == 0
    assert chartkit(*words, "drawn.pdf", "--diagrams").code == 0
    drawn = []
    for name in ("plain.pdf", "drawn.pdf"):
        with pdfplumber.open(name) as pdf:
            drawn.append(sum(len(page.objects["curve"]) for page in pdf.pages))
    assert drawn[1] > drawn[0]


def test_diagrams_are_mirrored_for_a_left_handed_player(chartkit):
    words = ["exercise", "tune.chart", "A", "--position", "5", "--diagrams", "-o"]
    assert chartkit(*words, "right.pdf").code == 0
    assert chartkit(*words, "left.pdf", "--left-handed").code == 0
    right, left = (dots(name) for name in ("right.pdf", "left.pdf"))
    assert right != left
    assert [len(row) for row in right] == [len(row) for row in left]


def dots(name):
    """The places of the dots, row by row; a dot is a closed curve, as wide as it is high."""
    with pdfplumber.open(name) as pdf:
        curves = [
            (page.page_number, round(c["top"]), (c["x0"] + c["x1"]) / 2)
            for page in pdf.pages
            for c in page.objects["curve"]
            if abs((c["x1"] - c["x0"]) - (c["bottom"] - c["top"])) < 0.1 and c["x1"] - c["x0"] > 5
        ]
    heights = sorted({at[:2] for at in curves})
    return [sorted(x for *at, x in curves if tuple(at) == height) for height in heights]


def test_diagrams_need_a_position(chartkit, made):
    told = chartkit("exercise", "tune.chart", "A", "--range", "A2-C5", "--diagrams")
    assert (told.code, made()) == (2, [])
    assert "say --position" in told.err


def test_a_routine_on_one_staff_in_large_print(chartkit, made):
    words = ["technique", "scales", "thirds", "--staves", "tab", "--large", "-o", "x.pdf"]
    assert chartkit(*words).code == 0
    assert made() == ["x.pdf"]


def test_keys_in_turn_are_printed_one_after_the_other(chartkit, made):
    words = ["exercise", "tune.chart", "A", "--key-each-time", "fourths"]
    assert chartkit(*words, "-o", "x.pdf").code == 0
    # The cycle of fourths from F as every book prints it, common practice, no source.
    assert headed("x.pdf") == ["F", "B♭", "E♭", "A♭", "D♭", "G♭", "B", "E", "A", "D", "G", "C"]
    assert chartkit(*words, "--times", "3", "-o", "y.pdf").code == 0
    assert headed("y.pdf") == ["F", "B♭", "E♭"]
    assert made() == ["x.pdf", "y.pdf"]


def test_keys_in_turn_are_heard_once_each_unless_more_is_asked_for(chartkit):
    lengths = []
    for more in ((), ("--times", "4")):
        words = ["exercise", "tune.chart", "A", "--key-each-time", "C,Db,D", *more]
        assert chartkit(*words, "-o", "x.mid", "--force").code == 0
        signatures = [
            m for t in mido.MidiFile("x.mid").tracks for m in t if m.type == "key_signature"
        ]
        lengths.append([m.key for m in signatures])
    assert lengths == [["C", "Db", "D"], ["C", "Db", "D", "C"]]


def test_a_folder_gets_notation_for_each_key(chartkit):
    words = ["exercise", "tune.chart", "A", "--key-each-time", "C,Eb", "--tempo", "400"]
    assert chartkit(*words, "-o", "out/").code == 0
    names = {path.name for path in Path("out").iterdir()}
    assert {f"tune-A-connected-in-{key}.musicxml" for key in ("C", "Eb")} < names
    assert {"tune-A-connected.pdf", "tune-A-connected.mid", "tune-A-connected.wav"} < names
    told = chartkit(*words, "-o", "x.musicxml")
    assert (told.code, "name a folder" in told.err) == (2, True)


def headed(name):
    """The keys in the headings, by the size of their letters; a flat is the music font's."""
    with pdfplumber.open(name) as pdf:
        letters = "".join(c["text"] for page in pdf.pages for c in page.chars if c["size"] > 12)
    heading = r"Connected arpeggio, position V, in (\S+) major"
    return re.findall(heading, letters.replace("\uea64", "♭"))


@pytest.mark.parametrize("more", [("--only", "drums"), ("--without", "bass"), ("--with-band",)])
def test_who_is_left_in_of_the_band_plays_with_the_line(chartkit, more):
    assert chartkit("exercise", "tune.chart", "A", *more, "-o", "x.mid").code == 0
    names = {track.name for track in mido.MidiFile("x.mid").tracks}
    assert {"Drums", "Line"} <= names
    assert ("Bass" in names) == (more == ("--with-band",))
