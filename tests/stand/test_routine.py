"""Today's routine as the page goes through it, and what comes into the log."""

from datetime import date
from fractions import Fraction

import pytest

from chartkit.errors import OutputError, RequestError
from chartkit.practice.log import open_log
from chartkit.reader import parse
from chartkit.stand.asked import asked_of
from chartkit.stand.programme import Programme
from chartkit.stand.routine import Routine
from chartkit.stand.server import Desk
from chartkit.stand.shelf import Shelf, read_chart
from chartkit.stand.store import Store
from chartkit.stand.workshop import Workshop

pytestmark = pytest.mark.usefixtures("silent")

DEMO = parse(
    "Title: Wooden Spoon\nKey: Dm\nTempo: 120\n[A]\n| Dm6 | Em7b5 A7 | Dm6 | A7 |\n"
    "[B]\n| Gm7 | C7 | Fmaj7 | A7 |\n",
    "demo",
).chart
SCRIPT = "<script>alert(1)</script>"


@pytest.fixture
def home(tmp_path):
    return tmp_path / "home"


@pytest.fixture
def desk(home, tune):
    shelf, store = Shelf([tune]), Store(None)
    programme = Programme(shelf, (), Routine(home, read_chart, DEMO))
    workshop = Workshop(shelf, store, programme.work, about=programme.about)
    yield Desk(shelf, store, workshop, programme)
    workshop.close()


@pytest.fixture
def items(page):
    return page.get("/api/today").json()["items"]


def entries(home, player="me"):
    with open_log(home) as log:
        return log.entries(player)


def test_the_day_is_told_and_stays_the_same(page, items):
    told = page.get("/api/today").json()
    assert told["items"] == items
    assert "a demo tune stands in: Wooden Spoon" in told["news"][0]
    assert sum(item["seconds"] for item in items) <= 600
    assert len({item["key"] for item in items}) == len(items)
    assert all(item["result"] is None and item["why"] for item in items)


def test_every_item_can_be_put_on_the_stand(desk, items):
    for item in items:
        work = desk.programme.work(asked_of(item["request"]))
        assert work.turns[0].sheet.title == item["title"]
        assert ":" not in work.turns[0].sheet.subtitle.removeprefix("Solos:")
        assert work.performance.loop
        assert work.performance.rounds == 1
        with_tune = {part for part in ("bass", "drums") if work.kind in ("exercise", "chart")}
        assert with_tune <= {track.part for track in work.performance.tracks}
        named = {m.id for m in work.turns[0].sheet.measures}
        assert {bar for _, bar in work.performance.bars} <= named


def test_an_item_at_another_tempo_and_in_another_key(page, items):
    item = next(item for item in items if item["activity"] == "arpeggios")
    work = page.post("/api/work", {**item["request"], "tempo": 200, "key": "G"}).json()
    assert (work["tempo"], work["key"]) == (200, "G minor")
    assert work["kind"] == "exercise"
    refused = page.post("/api/work", {**item["request"], "feel": "samba"})
    assert refused.status_code == 400
    assert "has its own feel" in refused.json()["error"]
    gone = page.post("/api/work", {"item": "warm-up/yesterday's"})
    assert gone.status_code == 400


def test_the_neck_shows_what_is_played(page, items):
    def told(activity):
        item = next(item for item in items if item["activity"] == activity)
        return page.post("/api/work", item["request"]).json()

    patterns, scales, line = told("warm-up"), told("scales"), told("arpeggios")
    assert (patterns["shape"], patterns["shapes"], patterns["key"]) == (None, [], "")
    shown = [scales["shapes"][one["shape"]]["name"] for one in scales["sound"]["chords"]]
    assert shown
    keys = [name.replace("♭", "b").replace("♯", "#").split()[0] for name in shown if " " in name]
    planned = next(item["key"] for item in items if item["activity"] == "scales")
    assert keys == planned.rsplit("/", 1)[1].rsplit(" x", 1)[0].split()
    assert scales["shape"] == scales["shapes"][scales["sound"]["chords"][0]["shape"]]["svg"]
    assert line["sound"]["chords"][0]["name"] == "Dm6"  # a chord comes before the key's scale


def test_a_part_of_a_solo_can_be_gone_over(page, items):
    solo = next(item for item in items if item["activity"] == "solo")
    whole = page.post("/api/work", solo["request"]).json()
    assert [section["part"] for section in whole["sections"]] == ["A", "B", "A>B", "B>A"]
    assert whole["feel"] == "swing"
    part = page.post("/api/work", {**solo["request"], "bars": [3, 4], "tempo": 90}).json()
    assert [bar["bar"] for bar in part["sound"]["bars"]] == ["bar-3", "bar-4"]
    assert [bar["id"] for bar in part["bars"]] == [bar["id"] for bar in whole["bars"]]
    joined = page.post("/api/work", {**solo["request"], "sections": ["B", "A"]}).json()
    assert [bar["bar"] for bar in joined["sound"]["bars"]][:1] == ["bar-5"]
    join = page.post("/api/work", {**solo["request"], "sections": ["B>A"]}).json()
    assert [bar["number"] for bar in join["bars"]] == [7, 8, 1, 2]
    assert join["sections"] == whole["sections"]
    line = next(item for item in items if item["activity"] == "arpeggios")
    assert page.post("/api/work", {**line["request"], "bars": [1, 2]}).status_code == 400


def test_clean_and_not_yet_stand_in_the_log_and_on_the_page(page, items, home):
    for item, result in zip(items, ("clean", "not yet", "done"), strict=False):
        noted = {"item": item["key"], "request": item["request"], "result": result, "seconds": 61}
        assert page.post("/api/log", noted).status_code == 200
    results = [item["result"] for item in page.get("/api/today").json()["items"]]
    assert results[:3] == ["clean", "not yet", "done"]
    assert set(results[3:]) <= {None}
    for item in items[:3]:
        own = [entry for entry in entries(home) if entry.item == item["key"]]
        assert sum(entry.seconds for entry in own) == 61
        assert all(entry.day == date.today() for entry in own)  # noqa: DTZ011


def test_the_tempo_and_the_key_as_played_are_noted(page, items, home):
    item = next(item for item in items if item["activity"] == "arpeggios")
    request = {**item["request"], "key": "E"}
    noted = {"request": request, "result": "clean", "seconds": 30.6, "tempo": 97.5, "note": SCRIPT}
    assert page.post("/api/log", noted).status_code == 200
    (entry,) = entries(home)
    assert (entry.tempo, entry.key, entry.seconds) == (Fraction(195, 2), "E", 31)
    assert (entry.note, entry.item) == (SCRIPT, item["key"])


def test_a_tune_is_noted_too(page, home, tune):
    request = {"tune": "own-1-tune", "sections": ["A"], "exercise": {"kind": "arpeggio"}}
    noted = {"request": request, "result": "not yet", "seconds": 12, "tempo": 150}
    assert page.post("/api/log", noted).status_code == 200
    assert (
        page.post("/api/log", {"request": {"tune": "own-1-tune"}, "result": "done"}).status_code
        == 200
    )
    line, solo = entries(home)
    assert (line.activity, line.part, line.kind, line.position) == ("arpeggios", "A", "arpeggio", 5)
    assert (solo.activity, solo.part, solo.key, solo.tempo) == ("solo", "form", "F", 160)
    assert line.tune == solo.tune
    with open_log(home) as log:
        assert log.tune(line.tune).paths == (str(tune),)


def test_a_join_is_noted_under_its_name(page, home):
    request = {"tune": "own-1-tune", "sections": ["A>B"], "exercise": {"kind": "arpeggio"}}
    assert page.post("/api/log", {"request": request, "result": "clean"}).status_code == 200
    (entry,) = entries(home)
    assert entry.part == "A>B"


def test_a_phrase_is_noted_as_vocabulary(page, home):
    noted = {"request": {"tune": "phrase-two-cups", "key": "G"}, "result": "clean", "seconds": 20}
    assert page.post("/api/log", noted).status_code == 200
    (entry,) = entries(home)
    assert (entry.activity, entry.kind, entry.key) == ("vocabulary", "Two Cups", "G")
    assert (entry.tune, entry.seconds) == (None, 20)


@pytest.mark.parametrize(
    "noted",
    [
        {},
        {"result": "clean"},
        {"request": {"item": "x"}, "result": "perfect"},
        {"request": {"item": "no such"}, "result": "clean"},
        {"request": {"tune": "../../etc/passwd"}, "result": "clean"},
        {"request": {"tune": "own-1-tune"}, "result": "clean", "seconds": -1},
        {"request": {"tune": "own-1-tune"}, "result": "clean", "seconds": 1e9},
        {"request": {"tune": "own-1-tune"}, "result": "clean", "player": "somebody"},
        {"request": {"tune": "own-1-tune"}, "result": "clean", "note": "x" * 3000},
        {"request": {"tune": "own-1-tune"}, "result": "clean", "note": "\ud800"},
        {"request": {"tune": "own-1-tune", "bars": [9, 10]}, "result": "clean", "tempo": 0},
    ],
)
def test_what_is_no_entry_is_refused_and_nothing_is_written(page, home, noted):
    page.get("/api/today")
    answer = page.post("/api/log", noted)
    assert answer.status_code == 400, answer.text
    assert answer.json()["error"]
    assert entries(home) == ()


def test_each_player_has_a_log(home, tune):
    shelf = Shelf([tune])
    for player in ("me", "anna"):
        programme = Programme(shelf, (), Routine(home, read_chart, DEMO, player))
        programme.note({"request": {"tune": "own-1-tune"}, "result": "clean"})
    assert [len(entries(home, player)) for player in ("me", "anna", "ben")] == [1, 1, 0]


def test_a_log_that_cannot_be_opened_is_told(home, tune, page):
    home.write_text("no folder", encoding="utf-8")
    told = page.get("/api/today").json()
    assert told["items"] == []
    assert told["error"]
    answer = page.post("/api/log", {"request": {"tune": "own-1-tune"}, "result": "clean"})
    assert answer.status_code == 422
    programme = Programme(Shelf([tune]), (), Routine(home, read_chart, DEMO))
    with pytest.raises(OutputError):
        programme.note({"request": {"tune": "own-1-tune"}, "result": "clean"})


def test_without_a_routine_nothing_is_noted(tune):
    with pytest.raises(RequestError, match="keeps no log"):
        Programme(Shelf([tune])).note({"request": {"tune": "own-1-tune"}, "result": "clean"})
