"""The plan of a day: the rules put together, and the plan as text.

Conventions: a plan follows from the day, the minutes, the tunes, the past and the template alone,
so that a day asked for twice is the same day. Rests are in the time: a day's items end to end are
the day.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from math import ceil
from typing import Final

from chartkit.errors import RequestError
from chartkit.practice import through
from chartkit.practice.day import Day, Measure, PhraseFacts, Slot
from chartkit.practice.entry import ACTIVITIES, ME
from chartkit.practice.fitting import fitted
from chartkit.practice.growth import finished_on, stage
from chartkit.practice.item import Item, from_json, to_json
from chartkit.practice.order import Order, in_order, in_turns
from chartkit.practice.past import Past
from chartkit.practice.returning import comes_back, due_today, today_first
from chartkit.practice.technique import along_the_neck, scales, warm_ups
from chartkit.practice.template import Template, usual
from chartkit.practice.through import Under
from chartkit.practice.tune import TuneFacts

LEAST, MOST = 5, 120
"""Minutes that a day may have."""

VERSION: Final = 1
"""Of a plan's text."""


@dataclass(frozen=True, slots=True)
class Plan:
    """A day's items in order.

    Parameters
    ----------
    day : date
    player : str
    minutes : int
        The budget.
    items : tuple of Item
    asked : str
        What it was made from, beside the past; a plan is kept for as long as that is the same.
    """

    day: date
    player: str
    minutes: int
    items: tuple[Item, ...]
    asked: str = ""

    @property
    def seconds(self) -> Fraction:
        """Of all items."""
        return sum((item.seconds for item in self.items), Fraction(0))


def plan(
    day: date,
    minutes: int,
    tunes: Sequence[TuneFacts],
    past: Past,
    measure: Measure,
    *,
    player: str = ME,
    template: Template | None = None,
    order: Order = "blocked",
    goals: Sequence[tuple[str, Fraction]] = (),
    today: str | None = None,
    phrases: Sequence[PhraseFacts] = (),
    without: frozenset[tuple[str, str, str]] = frozenset(),
) -> Plan:
    """Return the plan of a day.

    Parameters
    ----------
    day : date
    minutes : int
        5 to 120.
    tunes : sequence of TuneFacts
        Those taken up, the first in front; without any, the time is for technique.
    past : Past
        The player's, up to the day before; see `chartkit.practice.past.past_of`.
    measure : callable
        See `chartkit.practice.day.Measure`.
    player : str
    template : Template, optional
        The usual one by default.
    order : {"blocked", "mixed"}
        Each item in one go, or in two turns that go round.
    goals : sequence of (str, Fraction)
        Tempos to reach in place of a tune's own, by its id.
    today : str, optional
        Id of today's tune, where the player names it.
    phrases : sequence of PhraseFacts
    without : frozenset of (str, str, str)
        Tune, part and line that cannot be played.

    Raises
    ------
    RequestError
        A day has no such number of minutes.
    """
    if not LEAST <= minutes <= MOST:
        raise RequestError(f"a day has {LEAST} to {MOST} minutes here, not {minutes}")
    ruled = template or usual()
    now = Day(day, player, past, ruled, measure, tuple(phrases), without)
    under, back = _tunes(now, tunes, dict(goals), today)
    budget = Fraction(60 * minutes)
    slots = [
        slot
        for activity, targets in _targets(ruled, budget, has_tune=under is not None)
        for slot in _slots(now, activity, targets, under, back)
    ]
    if order == "mixed":
        slots = [in_turns(slot, now) for slot in slots]
    items = in_order(fitted(slots, budget, _leave_out(now.past)))
    return Plan(day, player, minutes, tuple(replace(i, why=_sentence(i.why)) for i in items))


def _sentence(why: str) -> str:
    return f"{why[:1].upper()}{why[1:]}."


def _slots(
    now: Day,
    activity: str,
    targets: Sequence[Fraction],
    under: Under | None,
    back: Sequence[Under],
) -> Iterator[Slot]:
    if activity == "warm-up":
        yield from warm_ups(now, targets)
    elif activity == "scales":
        yield from scales(now, targets)
    elif activity == "along the neck":
        yield from along_the_neck(now, targets)
    elif under and activity == "solo":
        yield from through.solos(now, under, targets, back)
    elif under:
        yield from through.lines(now, activity, under, targets)


def _targets(
    template: Template, budget: Fraction, *, has_tune: bool
) -> Iterator[tuple[str, list[Fraction]]]:
    """Yield each activity with the seconds of its slots: more time gives more of them."""
    longest = dict(template.longest)
    given = [(a, s) for a, s in template.shares if has_tune or a in ACTIVITIES[:3]]
    total = sum(share for _, share in given)
    for activity, share in given:
        time = budget * share / total
        count = ceil(time / longest[activity])
        yield activity, [time / count] * count


def _tunes(
    now: Day, tunes: Sequence[TuneFacts], goals: dict[str, Fraction], today: str | None
) -> tuple[Under | None, list[Under]]:
    """Return today's tune and the finished ones that come back today."""
    tries, template = now.past.tries, now.template
    standing: dict[str, Under] = {}
    for tune in tunes:
        goal = goals.get(tune.id, tune.tempo)
        ended = finished_on(tune, tries, goal, template)
        due = comes_back(tune.id, ended, tries, template) if ended else None
        standing[tune.id] = Under(tune, goal, stage(tune, tries, goal, template), due)
    unfinished = [one for one in standing if standing[one].due is None]
    turns = today_first(unfinished, tries, template.at_once)
    dues = due_today((one.due for one in standing.values() if one.due), now.day)
    back = [standing[due.tune] for due in dues]
    if today in standing:
        chosen = standing[today]
    elif turns:
        chosen = standing[turns[0]]
    elif standing:
        first = min((one.due for one in standing.values() if one.due), key=lambda due: due.day)
        chosen = standing[first.tune]
    else:
        return None, []
    return chosen, [one for one in back if one is not chosen]


def _leave_out(past: Past) -> tuple[str, ...]:
    """Return activities in the order in which they give way: what was had last, first."""
    last = {one.activity: one.day for one in past.had}
    return tuple(sorted(ACTIVITIES[1:], key=lambda a: last.get(a, date.min), reverse=True))


def write_plan(made: Plan) -> str:
    """Return a plan as JSON; fractions are text, such as ``"83/2"``."""
    values = {
        "version": VERSION,
        "day": made.day.isoformat(),
        "player": made.player,
        "minutes": made.minutes,
        "seconds": round(float(made.seconds), 3),
        "asked": made.asked,
        "items": [to_json(item) for item in made.items],
    }
    return json.dumps(values, ensure_ascii=False, indent=1) + "\n"


def read_plan(text: str) -> Plan:
    """Return the plan of a text; the inverse of `write_plan`.

    Raises
    ------
    RequestError
        It is none, or of another version.
    """
    try:
        values = json.loads(text)
        made = Plan(
            date.fromisoformat(values["day"]),
            values["player"],
            values["minutes"],
            tuple(map(from_json, values["items"])),
            values["asked"],
        )
        version = values["version"]
    except (KeyError, TypeError, ValueError, ZeroDivisionError, AttributeError) as error:
        raise RequestError(f"that is no plan of this program: {error}") from None
    if version != VERSION:
        raise RequestError(f"that plan is of version {version}, not {VERSION}: ask for it again")
    return made
