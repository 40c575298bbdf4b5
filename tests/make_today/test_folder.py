"""The folder of a day: made in one go from nothing, again at once, whole or not at all."""

import os
import re
from dataclasses import replace
from datetime import date
from fractions import Fraction
from importlib.resources import files
from types import SimpleNamespace

import mutagen
import pdfplumber
import pytest
import soundfile

from chartkit.errors import OutputError, RequestError
from chartkit.make_today import Named, folder, today_plan
from chartkit.make_today.folder import CAUTION, Making, build, item_name
from chartkit.make_today.items import item_page
from chartkit.make_today.kept import SCRATCH, Kept, digest_of
from chartkit.make_today.today import Asked
from chartkit.output.audio import RATE
from chartkit.output.synth import find_soundfont
from chartkit.practice.plan import read_plan
from chartkit.reader import parse

DAY = date(2026, 3, 1)


def chart_of(name):
    text = (files("chartkit.charts") / f"{name}.chart").read_text(encoding="utf-8")
    return parse(text, name).chart


def day_of(home, name="cellar-stairs", minutes=5):
    demo = Named(chart_of(name), None)
    return today_plan(home, DAY, lambda path: demo.chart, demo, Asked(minutes=minutes))  # noqa: ARG005


@pytest.fixture(scope="module")
def making():
    return Making(find_soundfont(None))


@pytest.fixture(scope="module")
def built(tmp_path_factory, making):
    """A real day of five minutes."""
    home = tmp_path_factory.mktemp("built")
    today = day_of(home)
    done = []
    names = build(today, home / "day", Kept(home / "cache"), making, done.append)
    return today, home / "day", names, done


def test_the_folder_has_what_is_told(built):
    today, made, names, done = built
    assert sorted(path.name for path in made.iterdir()) == sorted(names)
    assert len(names) == len(today.plan.items) + 3
    assert [path.name for path in made.parent.iterdir() if path.name.startswith(".")] == []
    assert done == sorted(done)
    assert done[-1] == 1


def test_the_plans_time_is_that_of_the_sound(built):
    today, made, _, _ = built
    items = today.plan.items
    lengths = [
        soundfile.info(made / item_name(n, item, ".flac")).frames for n, item in enumerate(items, 1)
    ]
    assert lengths == [round(item.seconds * RATE) for item in items]
    whole = soundfile.info(made / "whole.flac").frames
    assert whole == sum(lengths)
    assert abs(Fraction(whole, RATE) - today.plan.seconds) < Fraction(1, 1000)
    assert today.plan.seconds <= 300


def test_the_whole_has_a_marker_at_each_items_start(built):
    today, made, _, _ = built
    told = {n.upper(): value for n, (value, *_) in mutagen.File(made / "whole.flac").tags.items()}
    at = Fraction(0)
    for number, item in enumerate(today.plan.items, 1):
        hours, minutes, seconds = told[f"CHAPTER{number:03d}"].split(":")
        assert int(hours) * 3600 + int(minutes) * 60 + float(seconds) == pytest.approx(
            float(at), abs=0.001
        )
        assert told[f"CHAPTER{number:03d}NAME"] == f"{number}. {item.title}"
        at += item.seconds


def test_the_booklet_has_every_item_its_reason_and_the_caution(built):
    today, made, _, _ = built
    with pdfplumber.open(made / "booklet.pdf") as pdf:
        text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    for number, item in enumerate(today.plan.items, 1):
        assert f"{number}. {item.title[:20]}" in text
        assert item.why[:40] in text
    assert CAUTION[:40] in text
    assert "studies disagree" in text
    assert "hand stretches here" not in text  # the foot is the same on every page
    assert ("Where the hand stretches" in text) == any(
        item_page(item, today.chart(item)).caution for item in today.plan.items
    )


def test_in_mixed_order_the_list_names_every_item_and_its_page(tmp_path, making):
    """Two turns of the same share a page; halves of the keys have one each."""
    demo = Named(chart_of("cellar-stairs"), None)
    asked = Asked(minutes=10, order="mixed")
    today = today_plan(tmp_path, DAY, lambda path: demo.chart, demo, asked)  # noqa: ARG005
    folder._booklet_file(today, making).make(tmp_path / "booklet.pdf")
    with pdfplumber.open(tmp_path / "booklet.pdf") as pdf:
        texts = [page.extract_text() for page in pdf.pages]
    listed = re.findall(r"^((?:\d+ and )?\d+)\. (.+?) page (\d+)$", texts[0], re.MULTILINE)
    numbers = [int(n) for told, *_ in listed for n in told.split(" and ")]
    assert sorted(numbers) == list(range(1, len(today.plan.items) + 1))
    assert any(" and " in told for told, *_ in listed)
    for told, words, page in listed:
        assert f"{told}. {words}" in texts[int(page) - 1]
        one, *others = [today.plan.items[int(n) - 1] for n in told.split(" and ")]
        assert all(item.combination == one.combination for item in others)


def test_the_plan_lies_beside(built):
    today, made, _, _ = built
    assert read_plan((made / "plan.json").read_text(encoding="utf-8")) == today.plan


class Fakes:
    """Sounds and pages that take no time; counts what is made, and may fail at one."""

    def __init__(self, monkeypatch):
        self.made = []
        self.fails = None
        monkeypatch.setattr(folder, "item_playable", self.playable)
        monkeypatch.setattr(folder.sound, "write_item", self.write)
        monkeypatch.setattr(folder.sound, "write_whole", lambda *args: args[2].write_text("whole"))
        monkeypatch.setattr(folder, "_booklet_file", self.booklet)

    def playable(self, item, _chart):
        return SimpleNamespace(performance=item)

    def write(self, item, _performance, path, _font):
        if self.fails == item.activity:
            raise OutputError("the disk is full")
        self.made.append(item.activity)
        path.write_text(item.title)

    def booklet(self, today, _making):
        return folder.File("booklet.pdf", digest_of(today.plan), lambda path: path.write_text("b"))


@pytest.fixture
def fakes(monkeypatch):
    return Fakes(monkeypatch)


def test_what_was_made_is_not_made_again(fakes, tmp_path, making):
    today, kept = day_of(tmp_path), Kept(tmp_path / "cache")
    build(today, tmp_path / "day", kept, making)
    first = list(fakes.made)
    assert len(first) == len(today.plan.items)
    build(today, tmp_path / "day", kept, making)
    build(today, tmp_path / "another", kept, making)
    assert fakes.made == first
    slower = replace(today.plan.items[0], tempo=Fraction(60))
    changed = replace(today, plan=replace(today.plan, items=(slower, *today.plan.items[1:])))
    build(changed, tmp_path / "day", kept, making)
    assert fakes.made == [*first, "warm-up"]


def test_an_interrupted_day_goes_on_where_it_was(fakes, tmp_path, making):
    today, kept = day_of(tmp_path), Kept(tmp_path / "cache")
    fakes.fails = "solo"
    with pytest.raises(OutputError, match="disk is full"):
        build(today, tmp_path / "day", kept, making)
    assert not (tmp_path / "day").exists()
    assert [path for path in tmp_path.iterdir() if path.name.startswith(".")] == []
    fakes.fails = None
    build(today, tmp_path / "day", kept, making)
    assert len(fakes.made) == len(set(fakes.made)) == len(today.plan.items)


def test_a_failure_leaves_the_day_before_it(fakes, tmp_path, making):
    today, kept = day_of(tmp_path), Kept(tmp_path / "cache")
    build(today, tmp_path / "day", kept, making)
    fakes.fails = "warm-up"
    moved = replace(today.plan.items[0], tempo=Fraction(60))
    changed = replace(today, plan=replace(today.plan, items=(moved, *today.plan.items[1:])))
    with pytest.raises(OutputError):
        build(changed, tmp_path / "day", kept, making)
    assert read_plan((tmp_path / "day" / "plan.json").read_text(encoding="utf-8")) == today.plan


def test_a_day_replaces_a_day(fakes, tmp_path, making):
    kept = Kept(tmp_path / "cache")
    build(day_of(tmp_path, minutes=25), tmp_path / "day", kept, making)
    before = len(list((tmp_path / "day").iterdir()))
    build(day_of(tmp_path, minutes=5), tmp_path / "day", kept, making)
    assert len(list((tmp_path / "day").iterdir())) < before
    assert fakes.made


def test_what_is_not_ours_is_left_alone(fakes, tmp_path, making):
    (tmp_path / "day").mkdir()
    (tmp_path / "day" / "letters.txt").write_text("mine")
    with pytest.raises(RequestError, match="holds something else"):
        build(day_of(tmp_path), tmp_path / "day", Kept(tmp_path / "cache"), making)
    (tmp_path / "file").write_text("mine")
    with pytest.raises(RequestError, match="holds something else"):
        build(day_of(tmp_path), tmp_path / "file", Kept(tmp_path / "cache"), making)
    assert not fakes.made


def test_an_empty_folder_serves(fakes, tmp_path, making):
    (tmp_path / "day").mkdir()
    build(day_of(tmp_path), tmp_path / "day", Kept(tmp_path / "cache"), making)
    assert (tmp_path / "day" / "plan.json").exists()
    assert fakes.made


def test_where_nothing_can_be_written_it_is_said(fakes, tmp_path, making):
    (tmp_path / "file").write_text("mine")
    with pytest.raises(OutputError, match="cannot write"):
        build(day_of(tmp_path), tmp_path / "file" / "day", Kept(tmp_path / "cache"), making)
    with pytest.raises(OutputError, match="cannot write"):
        build(day_of(tmp_path), tmp_path / "day", Kept(tmp_path / "file" / "cache"), making)
    assert not fakes.made


def test_only_so_much_is_kept(tmp_path):
    kept = Kept(tmp_path, limit=25)
    for name in "abc":
        kept.made(name, ".txt", lambda path: path.write_text("ten bytes!"))
    kept.made("a", ".txt", lambda path: pytest.fail("it is there"))  # noqa: ARG005
    kept.prune()
    left = sorted(path.stem for path in tmp_path.iterdir())
    assert len(left) == 2
    assert "a" in left


def test_what_a_killed_run_left_goes_in_time(fakes, tmp_path, making):
    kept = Kept(tmp_path / "cache")
    left = [tmp_path / ".day-old", tmp_path / "cache" / f"{SCRATCH}old"]
    working = [tmp_path / ".day-new", tmp_path / "cache" / f"{SCRATCH}new"]
    for path in left + working:
        path.mkdir(parents=True)
        (path / "half.flac").write_text("half")
    for path in left:
        os.utime(path, (0, 0))
    build(day_of(tmp_path), tmp_path / "day", kept, making)
    assert [path.exists() for path in left + working] == [False, False, True, True]
    assert fakes.made
