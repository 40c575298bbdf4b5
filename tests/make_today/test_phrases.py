"""The player's own phrases in a day: where they fit, and where they do not."""

from datetime import UTC, date, datetime, timedelta
from importlib.resources import files

import pytest

from chartkit.errors import RequestError
from chartkit.make_today import Named, item_page, item_playable, today_plan
from chartkit.make_today.phrases import own_phrases, phrase_of
from chartkit.practice.entry import ME
from chartkit.practice.item import entries_of
from chartkit.practice.log import open_log
from chartkit.reader import parse

DAY = date(2026, 3, 1)
TEXT = """\
Title: Small Hours
Key: C major
Tempo: 120

[A]
| Dm7 | G7 | Cmaj7 | A7 | Dm7 | G7 | Cmaj7 | % |
"""
NOWHERE = """\
Title: One Chord
Key: E major
Tempo: 120

[A]
| E6 | % | % | % |
"""


@pytest.fixture
def shelf(own_home):
    """A home with two phrases and a file that is none."""
    folder = own_home / "phrases"
    folder.mkdir(parents=True)
    for name in ("kettle-on-the-hob", "milk-round"):
        text = (files("chartkit.phrases") / f"{name}.phrase").read_text(encoding="utf-8")
        (folder / f"{name}.phrase").write_text(text, encoding="utf-8")
    (folder / "torn.phrase").write_text("| | |", encoding="utf-8")
    return own_home


def vocabulary(home, text, days=4):
    chart = parse(text, "x").chart
    named = Named(chart, "x")
    for number in range(days):
        today = today_plan(home, DAY + timedelta(days=number), lambda _path: chart, named)
        yield from (item for item in today.plan.items if item.activity == "vocabulary")


def test_phrases_are_found_by_their_names(shelf):
    assert [one.id for one in own_phrases(shelf)] == ["kettle-on-the-hob", "milk-round"]
    assert phrase_of("milk-round").title == "Milk Round"
    with pytest.raises(RequestError, match="not there any more"):
        phrase_of("torn")
    with pytest.raises(RequestError, match="not there any more"):
        phrase_of("never")


def test_without_phrases_there_are_lines(own_home):
    assert not any(item.phrase for item in vocabulary(own_home, TEXT))


def test_a_phrase_that_fits_comes_up_as_page_and_sound(shelf):
    chart = parse(TEXT, "x").chart
    item = next(i for i in vocabulary(shelf, TEXT, days=9) if i.phrase)
    assert item.kind in item.title
    made = item_playable(item, chart)
    seconds = made.performance.tempo.seconds
    assert item.music == seconds(made.performance.length) * made.performance.rounds - seconds(
        made.performance.start
    )
    assert made.sheet == item_page(item, chart)
    assert any(track.part == "line" and track.notes for track in made.performance.tracks)


def test_a_phrase_that_was_played_is_in_the_log_by_its_title_and_its_part(shelf):
    item = next(i for i in vocabulary(shelf, TEXT, days=9) if i.phrase)
    at = datetime(2026, 3, 1, 12, tzinfo=UTC)
    with open_log(shelf) as log:
        log.record(entries_of(item, ME, DAY, at, "clean"))
        (entry,) = log.entries(ME)
    assert entry.kind in ("Kettle on the Hob", "Milk Round")
    assert (entry.activity, entry.part, entry.tune) == ("vocabulary", item.part, item.tune)


def test_phrases_that_fit_nowhere_are_left_out(shelf):
    found = list(vocabulary(shelf, NOWHERE))
    assert found
    assert not any(item.phrase for item in found)


def test_alike_ones_are_told_and_two_of_one_title_have_names_of_their_own(shelf):
    folder = shelf / "phrases"
    text = (folder / "milk-round.phrase").read_text(encoding="utf-8")
    (folder / "second.phrase").write_text(text, encoding="utf-8")
    one, two, three = own_phrases(shelf)
    assert (two.title, three.title) == ("Milk Round", "Milk Round (second)")
    assert (one.like, two.like, three.like) == (frozenset(), {"second"}, {"milk-round"})
