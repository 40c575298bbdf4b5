"""Phrases in a day: never two new ones that are easily mixed up."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from practice_years import FORMS, measure_of, tune

from chartkit.practice.day import PhraseFacts
from chartkit.practice.entry import Entry
from chartkit.practice.lines import names
from chartkit.practice.past import past_of
from chartkit.practice.plan import plan

DAY = date(2026, 3, 1)
TUNES = [tune("t", FORMS[0], 8, 120)]
NAMES = [f"p{n}" for n in range(20)]
ALIKE = [
    PhraseFacts(name, name.upper(), frozenset(other for other in NAMES if other != name))
    for name in NAMES
]
UNLIKE = [replace(one, like=frozenset()) for one in ALIKE]


def phrases_of(facts, day=DAY, log=(), minutes=90):
    made = plan(day, minutes, TUNES, past_of(day, log), measure_of(TUNES), phrases=facts)
    return {item.phrase for item in made.items if item.phrase}


def played(kinds, day):
    """Return a log in which lines and phrases were played."""
    return [
        Entry(
            player="me",
            day=day,
            at=datetime(2026, 1, 1, tzinfo=UTC),
            activity="vocabulary",
            tune="t",
            part="A",
            kind=kind,
            family=None,
            key=None,
            position=5,
            tempo=None,
            result="clean",
            seconds=60,
            item="",
        )
        for kind in kinds
    ]


@pytest.mark.parametrize("later", range(8))
def test_no_two_new_ones_that_are_alike(later):
    assert len(phrases_of(ALIKE, DAY + timedelta(days=later))) <= 1


def test_those_that_differ_may_come_together():
    days = [phrases_of(UNLIKE, DAY + timedelta(days=later)) for later in range(8)]
    assert max(map(len, days)) > 1


def test_those_that_were_had_already_may_come_together():
    log = played([one.title for one in ALIKE], DAY - timedelta(days=5))
    log += played(names("vocabulary", 1), DAY - timedelta(days=3))
    days = [phrases_of(ALIKE, DAY + timedelta(days=later), log) for later in range(8)]
    assert max(map(len, days)) > 1
