"""What is due: the part of each tune under way, and when the finished ones come back.

The rules are those of the plan: `chartkit.practice.growth` and `chartkit.practice.returning`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from fractions import Fraction

from chartkit.practice.growth import finished_on, stage
from chartkit.practice.looking import Ahead
from chartkit.practice.past import Try
from chartkit.practice.returning import comes_back, today_first
from chartkit.practice.template import Template
from chartkit.practice.tune import TuneFacts


def ahead(
    tunes: Sequence[TuneFacts],
    tries: Sequence[Try],
    goals: Mapping[str, Fraction],
    template: Template,
) -> tuple[Ahead, ...]:
    """Return what is due of each tune: those under way first, in the order of their turns.

    Parameters
    ----------
    tunes : sequence of TuneFacts
        Those taken up, the first in front.
    tries : sequence of Try
        In order.
    goals : mapping
        Tempos to reach in place of a tune's own, by its id.
    template : Template
    """
    named = {tune.id: tune for tune in tunes}
    ended = {
        tune.id: finished_on(tune, tries, goals.get(tune.id, tune.tempo), template)
        for tune in tunes
    }
    open_ones = [tune for tune, on in ended.items() if on is None]
    turns = today_first(open_ones, tries, template.at_once)
    waiting = tuple(tune for tune in open_ones if tune not in turns)
    found = [
        _part_due(named[tune], tries, goals, template, waits=tune in waiting)
        for tune in (*turns, *waiting)
    ]
    back = [
        _comes_back(named[tune], on, tries, template)
        for tune, on in ended.items()
        if on is not None
    ]
    return (*found, *sorted(back, key=lambda one: one.day or date.max))


def _part_due(
    tune: TuneFacts,
    tries: Sequence[Try],
    goals: Mapping[str, Fraction],
    template: Template,
    *,
    waits: bool,
) -> Ahead:
    if waits:
        return Ahead(tune.id, tune.title, None, "waits until another tune is finished")
    now = stage(tune, tries, goals.get(tune.id, tune.tempo), template)
    return Ahead(tune.id, f"{tune.title}, {now.part}", None, now.why)


def _comes_back(tune: TuneFacts, on: date, tries: Sequence[Try], template: Template) -> Ahead:
    due = comes_back(tune.id, on, tries, template)
    return Ahead(tune.id, tune.title, due.day, f"finished; comes back after {due.gap} days")
