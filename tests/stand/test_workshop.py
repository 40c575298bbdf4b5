"""Works are made a few at a time, each once."""

import threading
import time
from concurrent.futures import wait

import pytest

from chartkit.errors import ChartkitError, RequestError
from chartkit.stand import workshop as module
from chartkit.stand.asked import asked_of
from chartkit.stand.shelf import Shelf
from chartkit.stand.store import Store
from chartkit.stand.workshop import AT_ONCE, WAITING, Busy, Workshop

REQUEST = {"tune": "own-1-tune", "bars": [1, 1], "countIn": 0}


def asking(workshop, **more):
    request = {**REQUEST, **more}
    return workshop.ask(asked_of(request), request)


@pytest.fixture
def held(desk, monkeypatch, silent):  # noqa: ARG001
    """A workshop whose work waits until it is let go on, and how many are at it."""
    go, at_work, most = threading.Event(), [], [0]
    made = module.work_of

    def waiting(*arguments):
        at_work.append(1)
        most[0] = max(most[0], len(at_work))
        go.wait(20)
        at_work.pop()
        return made(*arguments)

    monkeypatch.setattr(module, "work_of", waiting)
    yield desk.workshop, go, most
    go.set()


def test_no_more_are_made_or_wait_than_may(held):
    workshop, go, most = held
    coming = [asking(workshop, seed=seed) for seed in range(AT_ONCE + WAITING)]
    assert asking(workshop, seed=3) is coming[3]
    with pytest.raises(Busy, match="try again in a moment"):
        asking(workshop, seed=99)
    for _ in range(1000):
        if most[0] < AT_ONCE:
            time.sleep(0.01)
    go.set()
    wait(coming, 30)
    assert most[0] == AT_ONCE
    assert len({one.result()["id"] for one in coming}) == len(coming)
    assert asking(workshop, seed=99).result(30)["bars"]


def test_what_fails_is_told_and_asked_for_again(held, tune):
    workshop, go, _ = held
    go.set()
    with pytest.raises(RequestError, match="bars 1-8"):
        asking(workshop, bars=[1, 99]).result(30)
    text = tune.read_text(encoding="utf-8")
    tune.write_text(text + "[C]\n" + "| F6 |\n" * 100, encoding="utf-8")
    assert asking(workshop, bars=[98, 99]).result(30)["bars"]


def test_nothing_is_remembered_of_a_sound_that_is_gone(desk, monkeypatch):
    first = asking(desk.workshop).result(30)
    calls = []
    made = module.stems
    monkeypatch.setattr(module, "stems", lambda *a: calls.append(a) or made(*a))
    assert asking(desk.workshop).result(30) == first
    assert not calls
    monkeypatch.setattr(desk.store, "get", lambda _name: None)
    assert asking(desk.workshop).result(30) == first
    assert len(calls) == 1


def test_the_sound_outlives_the_stand(desk, tune, monkeypatch):
    first = asking(desk.workshop).result(30)
    monkeypatch.setattr(module, "stems", None)
    shelf, store = Shelf([tune]), Store(desk.store._folder)
    again = Workshop(shelf, store, desk.programme.work)
    assert asking(again).result(30) == first
    again.close()


def test_a_soundfont_that_is_not_there_is_one_sentence(desk):
    workshop = Workshop(desk.shelf, desk.store, desk.programme.work, soundfont="/no/such.sf2")
    with pytest.raises(ChartkitError, match=r"such\.sf2"):
        asking(workshop).result(30)
    workshop.close()
