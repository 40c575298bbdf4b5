"""Sounds that are kept: whole, shared, and never too many."""

import os
import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from chartkit.stand import store as store_module
from chartkit.stand.sound import Stems
from chartkit.stand.store import Store


def stems(number, size=1000):
    parts = (("bass", bytes([number]) * size), ("drums", b"d" * size))
    return Stems(f"{number:032x}", size, 0.5, parts)


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "home" / "sound"


def test_what_is_kept_is_there_for_another_stand(folder):
    Store(folder).put(stems(1))
    assert Store(folder).get(stems(1).id) == stems(1)
    assert Store(folder).part(stems(1).id, "bass") == b"\x01" * 1000
    assert Store(folder).part(stems(1).id, "about") is None
    assert Store(folder).get(stems(2).id) is None


@pytest.mark.parametrize(
    "name", ["../sound", "..", "", "about.json", "0" * 31, "g" * 32, "0" * 32 + "/"]
)
def test_a_name_is_no_path(folder, name):
    Store(folder).put(stems(0))
    assert Store(folder).get(name) is None


@pytest.mark.parametrize("harm", ["cut", "gone", "about", "nonsense", "list"])
def test_what_is_damaged_is_as_if_it_were_not_there(folder, harm):
    Store(folder).put(stems(1))
    home = folder / stems(1).id
    if harm == "cut":
        (home / "bass.wav").write_bytes(b"x")
    elif harm == "gone":
        (home / "bass.wav").unlink()
    elif harm == "about":
        (home / "about.json").unlink()
    elif harm == "nonsense":
        (home / "about.json").write_bytes(b"\xff{")
    else:
        (home / "about.json").write_text("[1, 2]")
    assert Store(folder).get(stems(1).id) is None


def test_a_damaged_sound_is_made_good(folder):
    Store(folder).put(stems(1))
    (folder / stems(1).id / "bass.wav").write_bytes(b"x")
    Store(folder).put(stems(1))
    assert Store(folder).get(stems(1).id) == stems(1)


def test_the_ones_not_heard_for_longest_make_room(folder):
    store = Store(folder, limit=7000)
    for number in (1, 2, 3):
        store.put(stems(number))
        old = time.time() - 100 + number
        os.utime(folder / stems(number).id, (old, old))
    assert Store(folder).get(stems(1).id)  # heard again
    store.put(stems(4))
    kept = {path.name for path in folder.iterdir()}
    assert kept == {stems(n).id for n in (1, 3, 4)}


def test_two_stands_that_keep_the_same_at_once_do_not_fight(folder):
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda n: Store(folder).put(stems(n % 3)), range(48)))
    assert sorted(path.name for path in folder.iterdir()) == [stems(n).id for n in range(3)]
    assert all(Store(folder).get(stems(n).id) == stems(n) for n in range(3))


def test_what_cannot_be_written_is_kept_in_memory(tmp_path):
    (tmp_path / "file").write_text("not a folder")
    store = Store(tmp_path / "file" / "sound")
    store.put(stems(1))
    assert store.get(stems(1).id) == stems(1)


def test_memory_holds_what_was_used_last(monkeypatch):
    monkeypatch.setattr(store_module, "IN_MEMORY", 5000)
    store = Store(None)
    for number in (1, 2):
        store.put(stems(number))
    assert store.get(stems(1).id)
    store.put(stems(3))
    assert [bool(store.get(stems(n).id)) for n in (1, 2, 3)] == [True, False, True]


def test_what_was_left_half_made_is_cleared_away(folder):
    Store(folder).put(stems(1))
    for name, age in ((".new-old", 7200), (".new-fresh", 0)):
        (folder / name).mkdir()
        then = time.time() - age
        os.utime(folder / name, (then, then))
    (folder / "of-the-player").mkdir()
    Store(folder).put(stems(2))
    assert {path.name for path in folder.iterdir()} == {
        *(stems(1).id, stems(2).id, ".new-fresh", "of-the-player")
    }
