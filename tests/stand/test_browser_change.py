"""A change that is still being made when the player goes on: to Start, to another change."""

from __future__ import annotations

from itertools import pairwise

import pytest
from stand.browser_fixtures import browser, desktop, listed, opened, stand

__all__ = ["browser", "desktop", "listed", "opened", "stand"]

HELD = """(() => {{
    const later = new Promise((done) => {{ globalThis.arrive = done; }});
    const made = {owner}.{name}.bind({owner});
    {owner}.{name} = async (...given) => {{ await later; return made(...given); }};
}})()"""

STARTS = """(() => {
    globalThis.starts = [];
    const { player } = stand, start = player.start.bind(player);
    player.start = (stretch, options) => {
        const first = start(stretch, options);
        const { counts, at, offset } = player.voices[0];
        const { request, tempo } = stretch.work;
        const beats = [...counts, at + stretch.from - offset];
        starts.push({ tempo, bars: request.bars, beats });
        return first;
    };
})()"""


@pytest.mark.parametrize(
    ("owner", "name"), [("stand.music.source", "work"), ("stand.sounds", "fetched")]
)
def test_a_start_waits_for_the_tempo_that_was_set(opened, owner, name):
    """Count-in and first beat are in the new tempo, whatever of it is late: notes or sound."""
    opened.see(STARTS)
    opened.see(HELD.format(owner=owner, name=name))
    opened.keyboard.press("-")
    opened.keyboard.press(" ")
    opened.shows("#words", "Making the sound.")
    opened.shows("#press", "Stop")
    opened.wait_for_timeout(400)  # longer than tempos settle
    assert opened.see("starts") == []
    opened.see("arrive()")
    opened.until("stand.music.playing")
    (start,) = opened.see("starts")
    assert start["tempo"] == 355
    gaps = [after - before for before, after in pairwise(start["beats"])]
    assert min(gaps) == pytest.approx(60 / 355, abs=1e-4)


def test_a_start_waits_for_the_bars_that_were_chosen(opened):
    opened.see(STARTS)
    opened.see(HELD.format(owner="stand.music.source", name="work"))
    opened.see("stand.music.chooseRange('bar-3', 'bar-4')")
    opened.keyboard.press(" ")
    opened.shows("#words", "Making the sound.")
    opened.see("arrive()")
    opened.until("stand.music.playing")
    assert [start["bars"] for start in opened.see("starts")] == [[3, 4]]


def test_a_start_that_waits_can_be_taken_back(opened):
    opened.see(HELD.format(owner="stand.music.source", name="work"))
    opened.keyboard.press("-")
    opened.keyboard.press(" ")
    opened.keyboard.press(" ")
    opened.shows("#press", "Start")
    opened.see("arrive()")
    opened.until("stand.music.ready?.work.tempo === 355")
    assert not opened.see("stand.music.playing || stand.music.waiting")


@pytest.mark.parametrize("address", ["**/api/work", "**/sound/**"])
def test_what_was_there_starts_if_the_change_fails(opened, address):
    opened.see(STARTS)
    opened.route(address, lambda route: route.fulfill(status=400, json={"error": "no such tempo"}))
    opened.keyboard.press("-")
    opened.keyboard.press(" ")
    opened.until("stand.music.playing")
    opened.shows("#words", "no such tempo")
    assert [start["tempo"] for start in opened.see("starts")] == [360]
    assert opened.see("stand.music.work.tempo") == 360
    opened.faults.clear()  # the browser tells of the refusal too


@pytest.mark.parametrize("sounding", [False, True])
def test_one_change_does_not_undo_another(opened, sounding):
    """A key chosen while the tempo before it is still being made, or has not taken over yet."""
    if sounding:
        opened.keyboard.press(" ")
        opened.until("stand.music.place >= 0")
    opened.see("void stand.music.change({ tempo: 300 }); void stand.music.change({ key: 'Ab' })")
    opened.until("stand.music.work.key === 'Ab major'")
    assert opened.see("stand.music.work.tempo") == 300


def test_a_tempo_stays_with_its_item(opened):
    """One that was set just before the next item came is not that item's."""
    opened.see("stand.session.choose(1)")
    opened.see("stand.session.choose(0)")  # both are made by now: neither is waited for
    opened.see("stand.music.hurry(200); void stand.session.choose(1)")
    opened.until("stand.session.at === 1 && stand.music.ready")
    asked = opened.see("stand.music.asked")
    opened.wait_for_timeout(400)
    assert opened.see("stand.music.asked") == asked
    assert opened.see("stand.music.work.tempo") == 360
