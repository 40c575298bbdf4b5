"""`chartkit today` as a player types it; the day itself is tested in tests/make_today."""

import json
from datetime import date

import pytest

from chartkit.home import HOME_VARIABLE
from chartkit.make_today import folder
from chartkit.practice.entry import ACTIVITIES

TODAY = date.today().isoformat()  # noqa: DTZ011 (the player's own calendar day)


@pytest.fixture(autouse=True)
def own_home(tmp_path, monkeypatch):
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def unmade(monkeypatch):
    """Tell what would be built, instead of building it."""
    asked = []

    def build(today, where, _kept, making, progress):
        asked.append((today, where, making))
        where.mkdir()
        (where / "booklet.pdf").write_bytes(b"x" * 2_000_000)
        progress(1.0)
        return ("booklet.pdf",)

    monkeypatch.setattr(folder, "build", build)
    return asked


def test_on_an_empty_home_it_uses_a_demo_tune_and_says_so(chartkit):
    told = chartkit("today", "--show")
    assert told.code == 0
    assert "no tune of yours is under way, so a demo tune stands in: Seven Umbrellas" in told.err
    first, *lines = told.out.splitlines()
    assert "of 10 minutes, blocked" in first
    assert any("Arpeggios" in line or "Guide tones" in line for line in lines)
    assert "stop on pain" in told.out
    assert "studies disagree" in told.out


def test_showing_makes_nothing(chartkit, made):
    chartkit("today", "--show")
    assert made() == ["home"]


def test_json_is_a_list_of_items_each_with_its_seconds(chartkit):
    told = chartkit("today", "tune.chart", "--json", "--minutes", "12")
    items = json.loads(told.out)
    assert 0.95 * 720 <= sum(item["seconds"] for item in items) <= 720
    assert {item["activity"] for item in items} == set(ACTIVITIES)
    assert {item["tune"] for item in items} == {None, "small-hours"}
    for item in items:
        assert {"title", "position", "keys", "tempo", "why", "key"} <= item.keys()


def test_asked_twice_it_is_the_same_day(chartkit):
    first = chartkit("today", "tune.chart", "--json")
    assert chartkit("today", "--json").out == first.out


def test_it_goes_into_a_folder_with_the_date(chartkit, unmade):
    told = chartkit("today")
    ((today, where, making),) = unmade
    assert str(where) == TODAY
    assert told.out == f"{TODAY}/booklet.pdf\n"
    assert making.ending == ".flac"
    assert today.plan.day.isoformat() == TODAY
    assert "Warm up first" in told.err
    assert "1 files, 2 MB, made in 0 s" in told.err


def test_where_and_how_it_is_made(chartkit, unmade):
    chartkit("today", "-o", "here", "--sound", "wav", "--paper", "letter", "--large")
    ((_, where, making),) = unmade
    assert (str(where), making.ending, making.paper, making.large) == (
        "here",
        ".wav",
        "letter",
        True,
    )


def test_another_day_is_shown_and_not_kept(chartkit):
    chartkit("today", "tune.chart", "--day", "2026-03-01", "--show")
    told = chartkit("log", "1", "--clean", "--day", "2026-03-01")
    assert told.code == 2
    assert "no plan" in told.err


def test_what_is_noted_does_not_change_the_day(chartkit):
    first = chartkit("today", "tune.chart", "--json").out
    assert chartkit("log", "all", "--clean").code == 0
    assert chartkit("today", "--json").out == first


def test_mixed_order(chartkit):
    told = chartkit("today", "tune.chart", "--order", "mixed", "--show")
    assert ", turn 2" in told.out
    assert "minutes, mixed" in chartkit("today", "--show").out


def test_a_tune_is_set_aside_and_taken_up_again(chartkit):
    chartkit("today", "tune.chart", "--json")
    assert "set aside: Small Hours" in chartkit("today", "tune.chart", "--set-aside").err
    assert "a demo tune stands in" in chartkit("today", "--show").err
    assert "a demo tune" not in chartkit("today", "tune.chart", "--show").err


@pytest.mark.parametrize("name", ["tune.chart", "Small Hours"])
def test_a_tune_whose_file_is_gone_can_be_set_aside(chartkit, tmp_path, name):
    chartkit("today", "tune.chart", "--json")
    (tmp_path / "tune.chart").unlink()
    told = chartkit("today", "--show").err
    assert "chartkit today --set-aside 'Small Hours'" in told
    assert "no tune of yours can be read" in told
    assert chartkit("today", "--set-aside", name).err == "set aside: Small Hours\n"
    assert "Small Hours" not in chartkit("today", "--show").err


def test_a_fault_in_a_tune_under_way_says_where_to_look(chartkit, tmp_path):
    chartkit("today", "tune.chart", "--json")
    path = tmp_path / "tune.chart"
    path.write_text(path.read_text(encoding="utf-8") + "| H7 |\n", encoding="utf-8")
    told = chartkit("today", "--show").err
    assert f"the chart of Small Hours cannot be read: see `chartkit check {path}`" in told


def test_a_phrase_that_cannot_be_read_is_said_so(chartkit, own_home):
    path = own_home / "phrases" / "torn.phrase"
    path.parent.mkdir(parents=True)
    path.write_text("| | |", encoding="utf-8")
    told = f"the phrase torn cannot be read: see `chartkit phrase check {path}`"
    assert told in chartkit("today", "--show").err
    assert told in chartkit("today", "--show").err


def test_a_feel_that_cannot_play_the_chart_is_told_with_the_plan(chartkit, tmp_path):
    path = tmp_path / "tune.chart"
    text = "Title: Twelve Crumbs\nMeter: 12/8\n{}\n[A]\n| F7 | Bb7 | F7 | C7 |]\n"
    path.write_text(text.format(""), encoding="utf-8")
    told = chartkit("today", "tune.chart", "--show")
    assert (told.code, told.out) == (1, "")
    assert "Twelve Crumbs: bar 1 is in 12/8; swing plays 4/4" in told.err
    assert "or set it aside" in told.err
    path.write_text(text.format("Feel: 12/8 blues\n"), encoding="utf-8")
    assert chartkit("today", "--show").code == 0


def test_the_template_is_put_once(chartkit, own_home):
    told = chartkit("today", "--template")
    path = own_home / "today.toml"
    assert told.out == f"{path}\n"
    path.write_text("[shares]\nscales = 1\n", encoding="utf-8")
    chartkit("today", "--template")
    items = json.loads(chartkit("today", "--json").out)
    assert {item["activity"] for item in items} == {"scales"}


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("--minutes", "4"), 2, "4 is not in the range"),
        (("nowhere.chart",), 1, "nowhere.chart"),
        (("-",), 2, "name one, not -"),
        (("--set-aside",), 2, "say which tune"),
        (("--goal", "120"), 2, "name its file"),
        (("--day", "soon"), 2, "is not a day"),
        (("--player", " "), 2, "player"),
        (("--soundfont", "nowhere.sf2"), 1, "nowhere.sf2"),
    ],
)
def test_what_is_wrong_is_one_sentence(chartkit, words, code, told):
    result = chartkit("today", *words)
    assert result.code == code
    assert told in result.err
    assert "Traceback" not in result.err


def test_a_folder_that_holds_something_else_is_left_alone(chartkit, tmp_path):
    (tmp_path / TODAY).mkdir()
    (tmp_path / TODAY / "diary.txt").write_text("mine")
    result = chartkit("today")
    assert result.code == 2
    assert "holds something else" in result.err
    assert [path.name for path in (tmp_path / TODAY).iterdir()] == ["diary.txt"]
