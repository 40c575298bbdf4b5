import csv
import json
import os
import pty
import re
import select
import subprocess
import sys
import time
from datetime import date
from fractions import Fraction
from pathlib import Path

import click
import pytest

from chartkit.home import HOME_VARIABLE
from chartkit.practice.item import Item
from chartkit.practice.log import FILE, open_log
from chartkit.practice.plan import Plan, write_plan

ITEMS = (
    Item("warm-up", "finger patterns", "1234 4321", Fraction(60), beats=Fraction(16), rest=2),
    Item(
        "scales",
        "scales through three keys",
        "thirds",
        Fraction(80),
        family="dorian",
        keys=("C", "F", "Bb"),
        position=5,
        figured=3,
        beats=Fraction(40),
    ),
    Item(
        "arpeggios",
        "arpeggios up and down",
        "arpeggio",
        Fraction(225, 2),
        tune="small-hours",
        part="A",
        beats=Fraction(32),
        rounds=4,
    ),
)


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def plan(home):
    day = date.today()  # noqa: DTZ011 (the player's own day)
    with open_log(home) as log:
        log.keep_plan("me", day, write_plan(Plan(day, "me", 10, ITEMS)))
    return day


def entries(home, player="me"):
    with open_log(home) as log:
        return log.entries(player)


def test_an_item_is_noted_as_it_was_planned(chartkit, home, plan):
    done = chartkit("log", 3, "--clean")
    assert (done.code, done.err) == (0, "")
    assert done.out == "3  arpeggios up and down: clean at 112.5\n"
    (one,) = entries(home)
    assert (one.day, one.item, one.result) == (plan, ITEMS[2].key, "clean")
    assert one.tempo == Fraction(225, 2)
    assert one.seconds == round(ITEMS[2].seconds)


def test_a_tempo_a_note_and_minutes_are_the_players(chartkit, home, plan):
    assert plan
    words = ("--not-yet", "--tempo", 72, "--note", " late on F ", "--minutes", "1.5")
    assert chartkit("log", 2, *words).code == 0
    found = entries(home)
    assert [one.key for one in found] == ["C", "F", "Bb"]
    assert sum(one.seconds for one in found) == 90
    assert {one.tempo for one in found} == {72}
    assert [one.note for one in found] == ["late on F", "", ""]


def test_all_are_those_that_are_not_noted_yet(chartkit, home, plan):
    assert plan
    chartkit("log", 1, "--clean")
    assert chartkit("log", "all").code == 0
    assert [one.result for one in entries(home)] == ["clean", "done", "done", "done", "done"]
    again = chartkit("log", "all")
    assert again.out == "everything of the plan is noted already\n"
    assert len(entries(home)) == 5


def test_the_same_said_twice_is_two_entries(chartkit, home, plan):
    assert plan
    for _ in range(3):
        chartkit("log", 3, "--clean")
    assert len(entries(home)) == 3


def test_the_last_is_taken_back(chartkit, home, plan):
    assert plan
    chartkit("log", 1, "--clean")
    chartkit("log", 2)
    back = chartkit("log", "--undo")
    assert back.code == 0
    assert back.out.count("taken back: scales") == 3
    assert len(entries(home)) == 1
    chartkit("log", "--undo")
    empty = chartkit("log", "--undo")
    assert (empty.code, empty.out) == (2, "")
    assert empty.err == "chartkit: there is nothing to take back\n"


def test_anything_else_is_noted_by_what_it_was(chartkit, home):
    about = ("--tune", "tune.chart", "--part", "A>B", "--key", "bb minor", "--position", "VII")
    words = ("--kind", "cells", "--family", "altered", "--tempo", "132", "--minutes", "5")
    assert chartkit("log", "--activity", "solo", *about, *words).code == 0
    (one,) = entries(home)
    assert (one.activity, one.tune, one.part, one.key) == ("solo", "small-hours", "A>B", "Bb minor")
    assert (one.position, one.kind, one.family, one.seconds) == (7, "cells", "altered", 300)
    assert (one.result, one.item) == ("done", "")


def test_a_tune_is_found_by_its_title_its_file_and_its_renamed_file(chartkit, home):
    Path("tune.chart").rename("old name.chart")
    for named in ("old name.chart", "Small Hours", "small-hours"):
        assert chartkit("log", "--activity", "solo", "--tune", named).code == 0
    Path("old name.chart").rename("new.chart")
    text = Path("new.chart").read_text(encoding="utf-8")
    assert chartkit("log", "--activity", "solo", "--tune", "new.chart").code == 0
    Path("new.chart").write_text(text.replace("Gm7", "Gm9"), encoding="utf-8")
    assert chartkit("log", "--activity", "solo", "--tune", "new.chart").code == 0
    assert {one.tune for one in entries(home)} == {"small-hours"}


def test_said_again_with_another_nothing_is_lost(chartkit, home, plan):
    assert plan
    for _ in range(3):
        chartkit("log", 1, "--clean")
        chartkit("log", 1, 3, "--clean")
    assert [one.activity for one in entries(home)].count("warm-up") == 6
    assert len(entries(home)) == 9


def test_a_player_whom_the_log_does_not_know_is_told(chartkit, plan):
    assert plan
    assert "the log knows no Ada; it knows me" in chartkit("log", "--list", "--player", "Ada").err


def test_players_are_kept_apart(chartkit, home):
    chartkit("log", "--activity", "solo", "--player", "Ada")
    assert entries(home) == ()
    assert len(entries(home, "Ada")) == 1


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "name items of the plan: numbers from 1 to 3, or all"),
        ((4,), "there is no item `4`: say 1 to 3, or all"),
        ((0,), "there is no item `0`"),
        (("one",), "there is no item `one`"),
        (("\u0663",), "there is no item"),
        ((1, "--activity", "solo"), "items of the plan or an activity, not both"),
        (("--part", "A"), "say what it was with --activity"),
        (("--activity", " "), "the activity must be a name"),
        (("--activity", "solo", "--part", "a\nb"), "the part holds characters"),
        (("--activity", "solo", "--tempo", "fast"), "is not a tempo"),
        (("--activity", "solo", "--player", ""), "the player must be a name"),
        (("--activity", "solo", "--day", "soon"), "is not a day"),
        (("--activity", "solo", "--tune", "nowhere"), "no chart file and no demo tune"),
        (("all", "--day", "2020-02-02"), "there is no plan for 2020-02-02"),
        (("all", "--player", "Ada"), "there is no plan of Ada for"),
        (("--export", "log.txt"), "should end in .csv, .json"),
        (("--import", "nowhere.csv"), "cannot read nowhere.csv"),
    ],
)
def test_what_cannot_be_noted_is_told(chartkit, home, plan, words, said):
    assert plan
    told = chartkit("log", *words)
    assert told.code in (1, 2)
    assert said in told.err
    assert "Traceback" not in told.err
    assert entries(home) == ()


@pytest.mark.parametrize("words", [("--clean", "--not-yet"), ("--not-yet", "--done")])
def test_two_answers_at_once_are_refused(chartkit, home, plan, words):
    assert plan
    for what in (("1",), ("--activity", "solo")):
        told = chartkit("log", *what, *words)
        assert (told.code, told.out) == (2, "")
        assert "say how it went once: --clean, --not-yet or --done" in told.err
    assert entries(home) == ()


def test_lists_for_players_and_programs(chartkit, plan):
    chartkit("log", "all", "--clean")
    listed = chartkit("log", "--list").out.splitlines()
    assert len(listed) == 5
    assert re.search(rf"{plan}  scales +thirds, dorian +F +V +80 +clean", listed[2])
    found = json.loads(chartkit("log", "--json", "--day", plan).out)
    assert [one["activity"] for one in found] == [
        "warm-up",
        "scales",
        "scales",
        "scales",
        "arpeggios",
    ]
    assert found[4]["tempo"] == "225/2"
    assert chartkit("log", "--json", "--day", "2020-01-01").out == "[]\n"


@pytest.mark.parametrize("ending", ["csv", "json"])
def test_export_and_import(chartkit, home, plan, ending, monkeypatch):
    assert plan
    chartkit("log", "all", "--note", 'two "lines", one\nnote')
    name = f"log.{ending}"
    assert chartkit("log", "--export", name).out == f"{name}\n"
    refused = chartkit("log", "--export", name)
    assert refused.code == 2
    assert "exists already; --force replaces it" in refused.err
    assert chartkit("log", "--export", name, "--force").code == 0
    assert chartkit("log", "--import", name).out == "0 new entries; 5 were there already\n"
    before = entries(home)
    monkeypatch.setenv(HOME_VARIABLE, str(home.parent / "another"))
    assert chartkit("log", "--import", name).out == "5 new entries; 0 were there already\n"
    assert entries(home.parent / "another") == before


def test_an_import_with_a_fault_reads_nothing(chartkit, home):
    Path("x.csv").write_text("day,activity\n2026-01-01,solo\n2026-01-32,solo\n", encoding="utf-8")
    told = chartkit("log", "--import", "x.csv")
    assert told.code == 1
    assert "x.csv: row 3: day: '2026-01-32' is not a day" in told.err
    assert entries(home) == ()
    Path("x.csv").write_bytes(b"\xff\xfe")
    assert "not UTF-8" in chartkit("log", "--import", "x.csv").err


def test_a_table_that_others_read(chartkit, plan):
    assert plan
    chartkit("log", "all")
    chartkit("log", "--export", "log.csv")
    with Path("log.csv").open(encoding="utf-8", newline="") as file:
        assert [row["result"] for row in csv.DictReader(file)] == ["done"] * 5


def test_a_damaged_log_is_told_and_rescued(chartkit, home, plan):
    assert plan
    chartkit("log", "all")
    before = entries(home)
    with (home / FILE).open("rb+") as file:
        file.write(b"\0" * 100)
    told = chartkit("log", "--list")
    assert told.code == 0
    assert "the log was damaged: 5 entries could be read" in told.err
    assert entries(home) == before
    assert "5 entries could be read" in chartkit("log", "--rescue").err
    assert len(list(home.glob("log-damaged-*"))) == 2


def test_a_home_that_cannot_be_used_is_told(chartkit, home):
    home.write_text("", encoding="utf-8")
    told = chartkit("log", "--list")
    assert told.code == 1
    assert told.err.startswith("chartkit: cannot use the log")


@pytest.fixture
def keys(monkeypatch):
    """Type keys, and lines after them, as if at a terminal."""

    def typed(pressed, lines=()):
        waiting, answers = iter(pressed), iter(lines)
        monkeypatch.setattr(click, "getchar", lambda: next(waiting))
        monkeypatch.setattr("click.termui.visible_prompt_func", lambda _: next(answers))
        monkeypatch.setattr(sys.stdin, "isatty", lambda: True)

    return typed


def test_it_asks_item_by_item(chartkit, home, plan, keys):
    assert plan
    keys("lcn")
    done = chartkit("log")
    assert done.out == "2 noted\n"
    assert "3  arpeggios up and down, at 112.5" in done.err
    assert [one.result for one in entries(home)] == ["clean"] * 3 + ["not yet"]
    keys("d")
    assert chartkit("log").out == "1 noted\n"
    assert entries(home)[-1].activity == "warm-up"


def test_another_tempo_and_a_few_words(chartkit, home, plan, keys):
    assert plan
    keys("x?twcq", ("fast", "66", "left hand tired"))
    done = chartkit("log")
    assert done.out == "1 noted\n"
    assert "`fast` is not a tempo" in done.err
    (one,) = entries(home)
    assert (one.tempo, one.note, one.result) == (66, "left hand tired", "clean")


@pytest.mark.parametrize("stop", ["q", "\x04", "\x1b"])
def test_what_was_answered_before_it_is_stopped_is_noted(chartkit, home, plan, keys, stop):
    assert plan
    keys(f"c{stop}")
    assert chartkit("log").out == "1 noted\n"
    assert len(entries(home)) == 1


def heard_until(words, stream, patience):
    """Read what a program says until it says some words, or for so many seconds."""
    heard, end = b"", time.monotonic() + patience
    while words not in heard and time.monotonic() < end:
        if select.select([stream], [], [], 0.05)[0]:
            heard += os.read(stream.fileno(), 1)
    return words in heard


def press(terminal, key, stream, answer):
    """Press a key until it is answered; one that comes before the program listens is dropped."""
    time.sleep(0.1)
    for _ in range(10):
        os.write(terminal, key)
        if heard_until(answer, stream, 3):
            return
    raise AssertionError(answer)


def test_at_a_real_terminal(home, plan):
    assert plan
    ours, theirs = pty.openpty()
    program = subprocess.Popen(
        [sys.executable, "-m", "chartkit.cli", "log"],
        stdin=theirs,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, HOME_VARIABLE: str(home)},
    )
    with program:
        assert heard_until(b"at 60 ", program.stderr, 20)
        press(ours, b"c", program.stderr, b" clean at 60")
        assert heard_until(b"at 80 ", program.stderr, 20)
        press(ours, b"n", program.stderr, b" not yet at 80")
        assert heard_until(b"at 112.5 ", program.stderr, 20)
        press(ours, b"q", program.stderr, b"\n")
        assert program.stdout.read() == b"2 noted\n"
    os.close(ours)
    os.close(theirs)
    assert program.returncode == 0
    assert [one.result for one in entries(home)] == ["clean", *["not yet"] * 3]
