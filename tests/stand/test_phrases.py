"""Phrases on the stand, the demos and the player's own."""

import pytest

from chartkit.errors import ChartFaults, RequestError
from chartkit.stand.asked import asked_of
from chartkit.stand.phrases import phrase_work
from chartkit.stand.shelf import Shelf
from chartkit.stand.telling import Heard, told

SCRIPT = "<script>alert(1)</script>"
DEMOS = [place.id for place in Shelf().places if place.id.startswith("phrase-")]


def test_there_are_demo_phrases_and_all_can_be_told():
    assert len(DEMOS) >= 10
    facts = {one["request"]["tune"]: one for one in Shelf().told()}
    assert all(facts[name]["kind"] == "phrase" and "error" not in facts[name] for name in DEMOS)


@pytest.mark.parametrize("name", DEMOS)
def test_a_phrase_goes_round_with_every_bar_of_its_page(name):
    shelf = Shelf()
    work = phrase_work(shelf.content(name), asked_of({"tune": name, "tempo": 100, "key": "E"}))
    made = told(work, "id", {}, Heard((), 0, 0.0))
    assert (made["kind"], made["tempo"]) == ("phrase", 100)
    assert made["key"].startswith("E ")
    page = [bar["id"] for bar in made["bars"] if bar["number"]]
    played = [bar["bar"] for bar in made["sound"]["bars"]]
    assert played[: len(page)] == page
    assert set(played[len(page) :]) <= {""}  # bars of the last chord that are added to go round


@pytest.mark.parametrize(
    "more",
    [{"bars": [1, 2]}, {"exercise": {"kind": "scale"}}, {"keys": "fourths"}, {"sections": ["A"]}],
)
def test_what_a_phrase_does_not_have_is_refused(more):
    shelf = Shelf()
    with pytest.raises(RequestError, match="a phrase goes round as it is"):
        phrase_work(shelf.content(DEMOS[0]), asked_of({"tune": DEMOS[0], **more}))


def test_a_phrase_of_ones_own_with_a_nasty_name(tmp_path):
    demo = next(place for place in Shelf().places if place.id == DEMOS[0])
    lines = demo.path.read_text(encoding="utf-8").splitlines()
    lines = [f"Title: {SCRIPT}" if line.startswith("Title:") else line for line in lines]
    path = tmp_path / "mine.phrase"
    path.write_text("\n".join(lines), encoding="utf-8")
    shelf = Shelf([path])
    work = phrase_work(shelf.content("own-1-mine"), asked_of({"tune": "own-1-mine"}))
    made = told(work, "id", {}, Heard((), 0, 0.0))
    assert made["title"] == SCRIPT
    assert "<script" not in "".join(system["svg"] for system in made["systems"])
    with pytest.raises(RequestError, match="a phrase, not a tune"):
        shelf.chart("own-1-mine")
    path.write_text("Title: x\n| H |\n", encoding="utf-8")
    with pytest.raises(ChartFaults, match=r"mine\.phrase:"):
        shelf.content("own-1-mine")
