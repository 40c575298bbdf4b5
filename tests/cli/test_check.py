import io
import json
import sys

SUMMARY = """\
Small Hours
  Key       F major
  Meter     4/4, swing, quarter = 160
  Sections  A 4 bars, B 4 bars
  Form      A B: 8 bars, 0:12 a chorus
"""

BROKEN = "Title: Broken\nKey: F\n\n[A]\n| F7 | H7 |\n| Gm7 C7 F |\n"


def test_a_good_chart_is_told_in_a_few_lines(chartkit):
    told = chartkit("check", "tune.chart")
    assert (told.code, told.out, told.err) == (0, SUMMARY, "")


def test_every_fault_is_told_with_its_place(chartkit, tmp_path):
    (tmp_path / "broken.chart").write_text(BROKEN, encoding="utf-8")
    told = chartkit("check", "broken.chart")
    assert told.code == 1
    assert told.out == ""
    assert "broken.chart:5:8: " in told.err
    assert "broken.chart:6:" in told.err
    assert "\n| F7 | H7 |\n       ^\n" in told.err


def test_one_bad_file_among_good_ones_hides_none(chartkit, tmp_path):
    (tmp_path / "broken.chart").write_text(BROKEN, encoding="utf-8")
    told = chartkit("check", "broken.chart", "nowhere.chart", "tune.chart")
    assert told.code == 1
    assert told.out == SUMMARY
    assert "there is no such file" in told.err
    assert "broken.chart:5:8" in told.err


TWELVE = "Title: Twelve Crumbs\nMeter: 12/8\n{}[A]\n| F7 | Bb7 | F7 | C7 |]\n"


def test_a_meter_that_the_feel_cannot_play_is_a_warning_in_the_words_of_the_loop(
    chartkit, tmp_path
):
    (tmp_path / "twelve.chart").write_text(TWELVE.format("Key: F\n\n"), encoding="utf-8")
    refused = chartkit("loop", "twelve.chart")
    assert refused.code == 1
    sentence = refused.err.removeprefix("chartkit: ").strip()
    assert sentence.startswith("bar 1 is in 12/8; swing plays 4/4")
    told = chartkit("check", "twelve.chart")
    assert told.code == 0
    assert told.out.startswith("Twelve Crumbs\n")
    assert told.err == f"twelve.chart:6:3: warning: {sentence}\n| F7 | Bb7 | F7 | C7 |]\n  ^\n"
    (listed,) = json.loads(chartkit("check", "--json", "twelve.chart").out)
    assert [(f["severity"], f["message"]) for f in listed["faults"]] == [("warning", sentence)]


def test_a_meter_that_its_feel_plays_is_no_warning(chartkit, tmp_path):
    text = TWELVE.format("Key: F\nFeel: 12/8 blues\n\n")
    (tmp_path / "twelve.chart").write_text(text, encoding="utf-8")
    assert chartkit("check", "twelve.chart").err == ""


def test_a_bar_in_another_meter_is_warned_of_where_it_stands(chartkit, tmp_path):
    text = "Title: Odd Bar\nKey: F\n\n[A]\n| F7 | F7 |\n\n[B]\nMeter: 12/8\n| Bb7 | F7 |\n"
    (tmp_path / "odd.chart").write_text(text, encoding="utf-8")
    told = chartkit("check", "odd.chart")
    assert told.code == 0
    assert told.err.startswith("odd.chart:9:3: warning: bar 3 is in 12/8; swing plays ")
    assert told.err.count("warning") == 1


def test_json_has_an_object_for_each_file(chartkit, tmp_path):
    (tmp_path / "broken.chart").write_text(BROKEN, encoding="utf-8")
    told = chartkit("check", "--json", "tune.chart", "broken.chart", "nowhere.chart")
    assert told.code == 1
    good, broken, missing = json.loads(told.out)
    assert good == {
        "file": "tune.chart",
        "title": "Small Hours",
        "key": "F major",
        "meter": "4/4",
        "feel": "swing",
        "tempo": 160.0,
        "sections": [{"label": "A", "bars": 4}, {"label": "B", "bars": 4}],
        "form": ["A", "B"],
        "bars": 8,
        "seconds": 12.0,
        "faults": [],
    }
    assert [(f["line"], f["severity"]) for f in broken["faults"]] == [(5, "error"), (6, "error")]
    assert missing["faults"][0]["severity"] == "error"
    assert "title" not in missing


def test_a_chart_comes_from_a_pipe(chartkit, monkeypatch):
    data = io.TextIOWrapper(io.BytesIO(b"[A]\n| F7 |\n"))
    monkeypatch.setattr(sys, "stdin", data)
    told = chartkit("check", "-")
    assert told.code == 0
    assert "A 1 bar\n" in told.out
    assert "-:1:1: warning:" in told.err


def test_an_unknown_tune_lists_the_demo_tunes(chartkit):
    told = chartkit("check", "no-such-tune")
    assert told.code == 1
    assert "twelve-spoons" in told.err
