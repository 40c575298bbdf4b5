"""Nothing that was acknowledged is lost, wherever the program is killed (SIGKILL, POSIX)."""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from log_makers import entry, old_entry

from chartkit.practice.log import FILE, open_log

PROGRAM = Path(__file__).parent / "log_program.py"
OLD = Path(__file__).parent / "logs" / "version-1.sql"

KILLS = {"recording": 36, "opening anew": 5, "migrating": 5, "rescuing": 4}
"""How often in the default run: fifty in all."""


def started(*arguments):
    return subprocess.Popen(
        [sys.executable, PROGRAM, *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def killed_after(program, lines, delay):
    """Kill a program some time after so many lines; return every line that it said."""
    said = [program.stdout.readline() for _ in range(lines)]
    time.sleep(delay)
    program.send_signal(signal.SIGKILL)
    with program:
        rest, trouble = program.stdout.read(), program.stderr.read()
    assert not trouble, trouble
    return [line for line in said + rest.splitlines() if line.strip()]


def acknowledged(lines):
    """Numbers of the entries in whole lines, each of which came after its write."""
    for line in lines:
        first, size = map(int, line.split())
        yield from range(first, first + size)


def check_recording(folder, rng, first):
    """Kill a recording program; return the number after the last that it can have written."""
    program = started("record", folder, first, 10_000)
    lines = killed_after(program, rng.randrange(1, 6), rng.random() * 0.03)
    done = list(acknowledged(lines))
    with open_log(folder) as log:
        assert not log.news
        found = {one.note for one in log.entries("me")}
    assert {f"number {n}" for n in done} <= found
    end = done[-1] + 1
    beyond = {f"number {n}" for n in range(end, end + 10)} & found
    # A step that was not acknowledged is there as a whole or not at all.
    assert len(beyond) in (0, 3 if end % 2 else 1)
    return end + len(beyond)


def check_opening(folder, rng, expected, players=("me",)):
    killed_after(started("open", folder), 1, rng.random() * 0.02)
    with open_log(folder) as log:
        found = {one for player in players for one in log.entries(player)}
    assert found == expected


def kill_while_recording(folder, rng, times):
    first = 0
    for _ in range(times):
        first = check_recording(folder, rng, first)


def kill_while_opening_anew(folder, rng, times):
    for number in range(times):
        check_opening(folder / str(number), rng, set())


def kill_while_migrating(folder, rng, times):
    for number in range(times):
        home = folder / str(number)
        home.mkdir()
        connection = sqlite3.connect(home / FILE)
        connection.executescript(OLD.read_text(encoding="utf-8"))
        connection.close()
        check_opening(home, rng, set(map(old_entry, range(6))), ("me", "Ada"))


def kill_while_rescuing(folder, rng, times):
    entries = {entry(n) for n in range(200)}
    for number in range(times):
        home = folder / str(number)
        with open_log(home) as log:
            log.record(sorted(entries, key=lambda one: one.at))
        with (home / FILE).open("rb+") as file:
            file.write(os.urandom(64))
        damaged = (home / FILE).read_bytes()
        check_opening(home, rng, entries)
        kept = list(home.glob("log-damaged-*.sqlite"))
        assert damaged in [one.read_bytes() for one in kept]


KINDS = {
    "recording": kill_while_recording,
    "opening anew": kill_while_opening_anew,
    "migrating": kill_while_migrating,
    "rescuing": kill_while_rescuing,
}


@pytest.mark.parametrize("kind", KINDS)
def test_a_kill_loses_nothing(kind, tmp_path):
    KINDS[kind](tmp_path, random.Random(kind), KILLS[kind])


@pytest.mark.sweep
@pytest.mark.parametrize("kind", KINDS)
def test_a_thousand_kills_lose_nothing(kind, tmp_path):
    KINDS[kind](tmp_path, random.Random(f"many {kind}"), KILLS[kind] * 20)


def test_two_writers_at_once_lose_nothing(tmp_path):
    count = 80
    programs = [started("record", tmp_path, 0, count, player) for player in ("me", "Ada")]
    outputs = [program.communicate() for program in programs]
    assert [trouble for _, trouble in outputs] == ["", ""]
    with open_log(tmp_path) as log:
        for player, (said, _) in zip(("me", "Ada"), outputs, strict=True):
            done = {entry(n, player=player) for n in acknowledged(said.splitlines())}
            assert len(done) >= count
            assert set(log.entries(player)) == done


def test_many_openers_of_a_damaged_log_rescue_it_once(tmp_path):
    entries = [entry(n) for n in range(50)]
    with open_log(tmp_path) as log:
        log.record(entries)
    with (tmp_path / FILE).open("rb+") as file:
        file.write(b"\0" * 100)
    news = []

    def look():
        with open_log(tmp_path) as log:
            news.extend(log.news)
            assert log.entries("me") == tuple(entries)

    openers = [threading.Thread(target=look) for _ in range(4)]
    for one in openers:
        one.start()
    for one in openers:
        one.join()
    assert len(news) == 1
    assert len(list(tmp_path.glob("log-damaged-*"))) == 1
