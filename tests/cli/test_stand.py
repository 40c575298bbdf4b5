"""`chartkit stand` as it is typed: what it refuses, and the file that it saves.

The server itself is run in tests/stand/test_serving.py.
"""

import json
import re

import pytest


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("CHARTKIT_HOME", str(tmp_path / "home"))


def held(path):
    html = path.read_text(encoding="utf-8")
    return json.loads(re.search(r'id="saved">(.*?)</script>', html)[1])


def test_an_exercise_on_a_section_is_saved_as_one_file(chartkit, tmp_path):
    words = ("--section", "B", "--kind", "arpeggio", "--position", "VII", "--tempo", "240")
    told = chartkit("stand", "tune.chart", *words, "--key", "G", "--save", "b.html", "--small")
    assert (told.code, told.out) == (0, "b.html\n")
    saved = held(tmp_path / "b.html")
    (item,) = saved["items"]
    work = saved["works"][item["key"]]
    assert item["title"] == saved["title"] == "Small Hours, B, arpeggio"
    assert (work["kind"], work["tempo"], work["key"]) == ("exercise", 240, "G major")
    assert [bar["number"] for bar in work["bars"]] == [5, 6, 7, 8]
    assert work["subtitle"] == "Arpeggio, position VII, in G major"


def test_several_tunes_are_saved_in_the_order_named(chartkit, tmp_path):
    told = chartkit("stand", "tune.chart", "slow-oven", "--bars", "1-2", "--save", "two.html")
    assert told.code == 0, told.err
    saved = held(tmp_path / "two.html")
    assert [item["title"] for item in saved["items"]] == [
        "Small Hours, bars 1-2",
        "Slow Oven, bars 1-2",
    ]
    assert {len(work["sound"]["bars"]) for work in saved["works"].values()} == {2}


@pytest.mark.parametrize(
    ("words", "code", "sentence"),
    [
        (("tune.chart", "--section", "Z"), 2, "no section Z"),
        (("tune.chart", "--bars", "7-12"), 2, "the tune has bars 1-8"),
        (("tune.chart", "--position", "V"), 2, "say its --kind too"),
        (("--section", "A"), 2, "say which FILE"),
        (("tune.chart", "--key", "Fm"), 2, "keeps the tune's mode: say --key F"),
        (("no-such-tune",), 1, "no chart file and no demo tune"),
        (("-",), 2, "name a file instead"),
        (("tune.chart", "--small"), 2, "say where with --save"),
        (("two-cups", "--kind", "scale"), 2, "a phrase goes round as it is"),
        (("tune.chart", "--save", "page.pdf"), 2, "should end in .html"),
        (("tune.chart", "--soundfont", "no.sf2", "--save", "page.html"), 1, "no.sf2"),
        (("tune.chart", "--save", "no/such/folder/page.html"), 1, "no such folder"),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence(chartkit, made, words, code, sentence):
    told = chartkit("stand", "--no-open", *words)
    assert told.code == code
    assert sentence in told.err
    assert "Traceback" not in told.err
    assert [name for name in made() if name != "home"] == []


def test_a_saved_file_is_not_written_over(chartkit, tmp_path):
    (tmp_path / "page.html").write_text("mine", encoding="utf-8")
    told = chartkit("stand", "tune.chart", "--save", "page.html")
    assert (told.code, told.err) == (2, "chartkit: page.html exists already; --force replaces it\n")
    assert (tmp_path / "page.html").read_text(encoding="utf-8") == "mine"
