"""Whatever is done to a log, it holds what a plain list and a few dictionaries would."""

import tempfile
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule
from log_makers import entry
from log_strategies import ENTRIES, NOTES, WORDS

from chartkit.errors import RequestError
from chartkit.practice import stored
from chartkit.practice.log import open_log

many = settings(derandomize=True, max_examples=100, deadline=None)

PLAYERS = st.sampled_from(("me", "Ada", "Björn"))
STEPS = st.lists(ENTRIES, max_size=4)
DAYS = st.dates(date(2026, 1, 1), date(2026, 1, 5))
TUNES = st.sampled_from(("a", "b", "c"))


@many
@given(ENTRIES)
def test_a_row_holds_the_whole_entry(entry):
    assert stored.from_row(stored.to_row(entry)) == entry


@many
@given(ENTRIES, ENTRIES)
def test_a_mark_stands_for_one_entry(one, other):
    same = stored.mark(stored.to_row(one)) == stored.mark(stored.to_row(other))
    assert same == (one == other)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("player", ""),
        ("player", " me"),
        ("player", "a\nb"),
        ("activity", "x" * 201),
        ("tune", ""),
        ("part", "\ud800"),
        ("position", 0),
        ("position", 25),
        ("tempo", Fraction(0)),
        ("result", "perfect"),
        ("seconds", -1),
        ("note", "a\0b"),
        ("note", "x" * 20_001),
    ],
)
def test_an_entry_refuses_what_it_cannot_hold(field, value):
    with pytest.raises(RequestError):
        replace(entry(1), **{field: value})


class Logs(RuleBasedStateMachine):
    """A log beside what it should hold."""

    def __init__(self):
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.log = open_log(self.home)
        self.steps = []
        self.plans, self.settings, self.learning = {}, {}, {}

    @property
    def home(self):
        return Path(self.folder.name)

    def teardown(self):
        self.log.__exit__(None, None, None)
        self.folder.cleanup()

    @rule(step=STEPS)
    def record(self, step):
        known = {one for old in self.steps for one in old}
        new = list(dict.fromkeys(one for one in step if one not in known))
        assert self.log.record(step) == len(new)
        self.steps.append(new)

    @precondition(lambda self: any(self.steps))
    @rule(data=st.data())
    def record_again(self, data):
        known = [one for old in self.steps for one in old]
        assert self.log.record([data.draw(st.sampled_from(known))]) == 0

    @rule(player=PLAYERS)
    def undo(self, player):
        theirs = [step for step in self.steps if any(one.player == player for one in step)]
        taken = self.log.undo(player)
        assert list(taken) == [one for one in (theirs or [[]])[-1] if one.player == player]
        self.steps = [[one for one in step if one not in taken] for step in self.steps]

    @rule(player=PLAYERS, day=DAYS, text=NOTES)
    def keep_plan(self, player, day, text):
        self.log.keep_plan(player, day, text)
        self.plans[player, day] = text

    @rule(player=PLAYERS, name=WORDS, value=st.none() | NOTES)
    def change_setting(self, player, name, value):
        self.log.set(player, name, value)
        self.settings.pop((player, name), None)
        if value is not None:
            self.settings[player, name] = value

    @rule(player=PLAYERS, tune=TUNES, act=st.sampled_from(("start", "finish", "rest")), day=DAYS)
    def learn(self, player, tune, act, day):
        getattr(self.log, act)(player, tune, day)
        if self.learning.get((player, tune)) != act:
            self.learning.pop((player, tune), None)
            self.learning[player, tune] = act

    @rule()
    def open_again(self):
        self.log.__exit__(None, None, None)
        self.log = open_log(self.home)
        assert not self.log.news

    @invariant()
    def holds_it_all(self):
        for player in ("me", "Ada", "Björn"):
            theirs = [one for step in self.steps for one in step if one.player == player]
            assert list(self.log.entries(player)) == sorted(theirs, key=lambda one: one.at)
            assert self.log.settings(player) == {
                name: value for (who, name), value in self.settings.items() if who == player
            }
            assert dict(self.log.plans(player)) == {
                day: text for (who, day), text in self.plans.items() if who == player
            }
            for act, read in (("start", self.log.under_way), ("finish", self.log.finished)):
                assert list(read(player)) == [
                    tune
                    for (who, tune), did in self.learning.items()
                    if (who, did) == (player, act)
                ]


Logs.TestCase.settings = settings(
    derandomize=True, max_examples=10, stateful_step_count=15, deadline=None
)
TestLogs = Logs.TestCase
