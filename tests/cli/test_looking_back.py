import csv
import io
import json
import re
import shutil
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from importlib.resources import files
from pathlib import Path

import pytest

from chartkit.home import HOME_VARIABLE
from chartkit.practice.entry import Entry
from chartkit.practice.log import open_log

UNTIL = date(2026, 3, 29)


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def noted(chartkit, home):
    """Two weeks of a tune under way, noted."""
    chartkit("log", "--activity", "solo", "--tune", "tune.chart", "--day", "2026-03-16")
    with open_log(home) as log:
        log.start("me", "small-hours", date(2026, 3, 16))
        log.record(
            [
                Entry(
                    "me",
                    UNTIL - timedelta(days=13 - n),
                    datetime(2026, 3, 16, 18, tzinfo=UTC) + timedelta(days=n),
                    "arpeggios",
                    tune="small-hours",
                    part="A" if n < 10 else "A>B",
                    position=5,
                    tempo=Fraction(100 + 5 * n),
                    result="not yet" if n == 3 else "clean",
                    seconds=120,
                )
                for n in range(14)
            ]
        )
    return home


def test_in_the_terminal(chartkit, noted):
    assert noted
    told = chartkit("progress", "--since", "2026-03-02", "--until", UNTIL)
    assert (told.code, told.err) == (0, "")
    out = told.out
    assert "Practice, 2 March 2026 to 29 March 2026\n  14 days, 28 minutes, 13 clean runs" in out
    assert re.search(r"^ +2 Mar +0 +-$", out, re.MULTILINE)
    assert re.search(r"^ +23 Mar +14 +7 +█+$", out, re.MULTILINE)
    assert "Small Hours: clean tempo by part, week by week, 160 to reach" in out
    assert re.search(r"^  A +up to 145 +[▁-█]{2}$", out, re.MULTILINE)
    assert re.search(r"^  F +\. +\. +\. +\. +14 +", out, re.MULTILINE)
    assert re.search(r"Small Hours, A +part 1 of \d+", out)


def test_one_line_of_caution(chartkit, noted):
    assert noted
    assert "stop on pain" in chartkit("progress").out.splitlines()[-1]


def test_a_usual_time_is_thirteen_weeks(chartkit, noted):
    assert noted
    told = chartkit("progress", "--until", UNTIL)
    assert "29 December 2025 to 29 March 2026" in told.out


def test_one_tune_by_its_title(chartkit, noted):
    assert noted
    told = chartkit("progress", "--until", UNTIL, "--tune", "Small Hours")
    assert told.out.startswith("Small Hours, ")
    other = chartkit("progress", "--tune", "twelve-spoons")
    assert other.code == 2
    assert "nothing of twelve-spoons is noted yet" in other.err


def test_players_are_kept_apart(chartkit, noted):
    assert noted
    told = chartkit("progress", "--player", "Ada")
    assert told.code == 0
    assert told.out.startswith("Ada: Practice, ")
    assert "0 days, 0 minutes, 0 clean runs" in told.out
    assert "the log knows no Ada; it knows me" in told.err
    assert "nothing is noted in this time" in told.err


def test_a_goal_that_was_set_is_the_one_to_reach(chartkit, noted):
    with open_log(noted) as log:
        log.set("me", "goal small-hours", "299/2")
    told = chartkit("progress", "--until", UNTIL)
    assert "149.5 to reach" in told.out


def test_a_tune_whose_file_is_gone_keeps_its_title(chartkit, noted):
    assert noted
    Path("tune.chart").unlink()
    told = chartkit("progress", "--until", UNTIL)
    assert told.code == 0
    assert "Small Hours: clean tempo by part, week by week\n" in told.out
    assert "What is due" not in told.out


def test_tables_and_objects_say_the_same(chartkit, noted):
    assert noted
    found = json.loads(chartkit("progress", "--until", UNTIL, "--json").out)
    for ending in ("csv", "json", "txt"):
        name = f"p.{ending}"
        assert chartkit("progress", "--until", UNTIL, "-o", name).out == f"{name}\n"
    assert json.loads(Path("p.json").read_text(encoding="utf-8")) == found
    assert Path("p.txt").read_text(encoding="utf-8").startswith("Practice, 29 December")
    with Path("p.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file, strict=True))
    kinds = {
        kind: [row for row in rows if row["row"] == kind] for kind in ("total", "week", "tempo")
    }
    (total,) = kinds["total"]
    assert total["days"] == str(found["days"])
    assert float(total["minutes"]) == pytest.approx(float(Fraction(found["minutes"])), abs=0.005)
    assert len(kinds["week"]) == len(found["stretches"]) == 13
    marks = [mark for part in found["parts"] for mark in part["marks"]]
    assert [(r["day"], float(r["tempo"])) for r in kinds["tempo"]] == [
        (mark["day"], float(Fraction(mark["tempo"]))) for mark in marks
    ]
    squares = [row for row in rows if row["row"] == "square"]
    assert [int(row["days"]) for row in squares] == [one["days"] for one in found["squares"]]
    assert len(squares) == 144
    assert [row["why"] for row in rows if row["row"] == "due"] == [d["why"] for d in found["due"]]
    assert len(rows) == 1 + 13 + len(marks) + 144 + len(found["due"])


@pytest.mark.parametrize(
    ("ending", "magic"), [("pdf", b"%PDF-"), ("png", b"\x89PNG"), ("svg", b"<svg")]
)
def test_one_page(chartkit, noted, ending, magic):
    assert noted
    made = chartkit("progress", "--until", UNTIL, "-o", f"p.{ending}", "--paper", "letter")
    assert made.out == f"p.{ending}\n"
    assert Path(f"p.{ending}").read_bytes().startswith(magic)
    again = chartkit("progress", "-o", f"p.{ending}")
    assert again.code == 2
    assert "exists already" in again.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--since", "2026-02-02", "--until", "2026-02-01"), "the first day comes first"),
        (("--since", "spring"), "is not a day"),
        (("-o", "p.xls"), "should end in .pdf"),
        (("--tune", "nowhere"), "no chart file and no demo tune"),
        (("-o", "no/such/folder.csv"), "there is no such folder"),
    ],
)
def test_what_cannot_be_is_told(chartkit, words, said):
    told = chartkit("progress", *words)
    assert told.code in (1, 2)
    assert said in told.err


def test_a_template_that_cannot_be_read_is_told(chartkit, noted):
    (noted / "today.toml").write_bytes(b"\xff")
    told = chartkit("progress")
    assert (told.code, told.out) == (2, "")
    assert "today.toml" in told.err


def test_the_longest_and_the_first_of_times(chartkit):
    told = chartkit("progress", "--since", "0001-01-01", "--until", "9999-12-31", "--json")
    assert len(json.loads(told.out)["stretches"]) == 9999


def test_demo_tunes_and_a_copy_share_their_history(chartkit):
    demo = Path(str(files("chartkit.charts") / "twelve-spoons.chart"))
    shutil.copy(demo, "mine.chart")
    for name in ("twelve-spoons", "mine.chart"):
        words = ("--activity", "arpeggios", "--part", "A", "--tempo", "90", "--clean")
        chartkit("log", "--tune", name, "--day", "2026-03-01", *words)
    told = chartkit("progress", "--until", UNTIL, "--tune", "mine.chart", "--json")
    rows = csv.reader(io.StringIO(told.out))
    assert rows
    assert [part["tune"] for part in json.loads(told.out)["parts"]] == ["twelve-spoons"]
