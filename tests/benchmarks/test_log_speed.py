"""Ten years of entries: opening the log, reading it and looking back take under a second."""

import time
from dataclasses import replace
from datetime import date, timedelta

import pytest
from log_makers import entry

from chartkit.practice.log import open_log
from chartkit.practice.looking import report

DAYS = 3652
A_DAY = 10
FIRST = date(2016, 1, 1)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("log")
    with open_log(folder) as log:
        log.record(
            [replace(entry(n), day=FIRST + timedelta(days=n // A_DAY)) for n in range(DAYS * A_DAY)]
        )
    return folder


def look_back(folder):
    with open_log(folder) as log:
        entries = log.entries("me")
    return report("me", entries, FIRST, FIRST + timedelta(days=DAYS - 1))


def test_ten_years_are_looked_back_on(benchmark, folder):
    start = time.process_time()
    found = look_back(folder)
    seconds = time.process_time() - start
    assert found.days == DAYS
    benchmark.pedantic(look_back, args=(folder,), rounds=3)
    assert seconds < 1


def test_a_season_of_ten_years_is_looked_back_on(benchmark, folder):
    def season():
        with open_log(folder) as log:
            last = FIRST + timedelta(days=DAYS - 1)
            return log.entries("me", last - timedelta(weeks=13), last)

    assert benchmark.pedantic(season, rounds=5)


def test_an_entry_is_noted(benchmark, folder):
    numbers = iter(range(10**6, 2 * 10**6))

    def note():
        with open_log(folder) as log:
            assert log.record([entry(next(numbers))]) == 1

    benchmark.pedantic(note, rounds=20)
