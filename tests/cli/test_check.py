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
