"""How a tune grows: section by section, over the joins, to larger parts and the whole form.

The rule: the first section for days, then the next one, the joins between it and what is known (the
last two bars of one with the first two of the next), then both together, and so on to the whole
form; after that new positions, new keys, harder lines. A part is there after clean runs at the goal
tempo on so many different days; where one section is all of a form, its days are the form's too.
After two days that missed it, the part before it has a day, and then it is tried again. Source:
common practice, no source; a section for days rather than once: gains in accuracy came only where a
day lay between (Simmons 2012, from the abstract).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import pairwise, takewhile
from typing import Final

from chartkit.practice.entry import FORM
from chartkit.practice.past import Try
from chartkit.practice.template import Template
from chartkit.practice.tune import TuneFacts

GROWS_BY: Final = ("arpeggios", "vocabulary")
"""What counts: lines through the changes. A solo is nobody's to judge."""

JOIN: Final = ">"
BEYOND: Final = ("new positions", "new keys", "harder lines")
"""What comes after the whole form, a step each."""


@dataclass(frozen=True, slots=True)
class Stage:
    """Where a tune stands.

    Parameters
    ----------
    part : str
        Today's; see `chartkit.practice.entry`.
    number, of : int
        Of its parts, from 1.
    beyond : int
        Steps taken of `BEYOND`, so many once the tune is finished.
    why : str
        A clause.
    there : tuple of str
        The parts that are there, in their order.
    back : bool
        It is a step back from the part that is due.
    finished : bool
        All of it is there, and all beyond.
    """

    part: str
    number: int
    of: int
    beyond: int
    why: str
    there: tuple[str, ...]
    back: bool = False
    finished: bool = False


def parts(tune: TuneFacts) -> tuple[str, ...]:
    """Return the parts of a tune in the order they are learned, the whole form last.

    Joins are those that the form makes, its end leading into its beginning. The sections so far are
    put together in the order in which they first come.
    """
    order = tuple(dict.fromkeys(tune.form))
    joins = dict.fromkeys(pairwise((*tune.form, *tune.form[:1])))
    found: list[str] = []
    known: set[str] = set()
    for number, label in enumerate(order, 1):
        found.append(label)
        known.add(label)
        found += [
            f"{one}{JOIN}{two}"
            for one, two in joins
            if label in (one, two) and known.issuperset((one, two))
        ]
        if number > 1 and order[:number] != tune.form:
            found.append(" ".join(order[:number]))
    return (*dict.fromkeys(found), FORM)


def stage(tune: TuneFacts, tries: Sequence[Try], goal: Fraction, template: Template) -> Stage:
    """Return where a tune stands after all that was played of it.

    Parameters
    ----------
    tune : TuneFacts
    tries : sequence of Try
        In order; those of other tunes are passed over.
    goal : Fraction
        The tempo to reach.
    template : Template
    """
    order = parts(tune)
    own = _own(tune, tries)
    clean = _clean_days(tune, own, goal, template)
    there = tuple(takewhile(lambda part: len(clean[part]) >= template.clean_days, order))
    if len(there) == len(order):
        return _beyond(order, len(clean[FORM]), template)
    due, number = order[len(there)], len(there) + 1
    if there and _missed_twice(due, own):
        why = f"a day for what leads up to {due}, which was missed two days running"
        return Stage(there[-1], number - 1, len(order), 0, why, there, back=True)
    left = template.clean_days - len(clean[due])
    why = (
        f"part {number} of {len(order)}: {left} more clean {'day' if left == 1 else 'days'} "
        f"at {float(goal):g} and the next one comes"
    )
    return Stage(due, number, len(order), 0, why, there)


def finished_on(
    tune: TuneFacts, tries: Sequence[Try], goal: Fraction, template: Template
) -> date | None:
    """Return the day on which a tune was finished; None where it is not."""
    clean = _clean_days(tune, _own(tune, tries), goal, template)
    if any(len(clean[part]) < template.clean_days for part in parts(tune)):
        return None
    days = sorted(clean[FORM])
    needed = template.clean_days * (1 + len(BEYOND))
    return days[needed - 1] if len(days) >= needed else None


def _own(tune: TuneFacts, tries: Sequence[Try]) -> list[Try]:
    """Return what counts for a tune."""
    return [one for one in tries if one.tune == tune.id and one.activity in GROWS_BY]


def _clean_days(
    tune: TuneFacts, own: Iterable[Try], goal: Fraction, template: Template
) -> dict[str | None, set[date]]:
    """Return by each part the days on which it was clean at the goal tempo.

    A form of one section has the days that brought its section there; what is beyond has its own.
    """
    days: defaultdict[str | None, set[date]] = defaultdict(set)
    for one in own:
        if one.clean and one.tempo is not None and one.tempo >= goal:
            days[one.part].add(one.day)
    if len(tune.form) == 1:
        days[FORM].update(sorted(days[tune.form[0]])[: template.clean_days])
    return days


def _beyond(order: tuple[str, ...], days: int, template: Template) -> Stage:
    """Return where a tune stands whose form has been clean on so many days."""
    steps = min(len(BEYOND), (days - template.clean_days) // template.clean_days)
    if steps == len(BEYOND):
        why = "the tune is yours: it comes back so that it stays"
        return Stage(FORM, len(order), len(order), steps, why, order, finished=True)
    why = f"the whole form is there; now {BEYOND[steps]}"
    return Stage(FORM, len(order), len(order), steps, why, order)


def _missed_twice(part: str, own: Sequence[Try]) -> bool:
    """Tell whether the last two days on a tune were this part's, and nothing in them was clean."""
    days: dict[date, list[Try]] = {}
    for one in own:
        days.setdefault(one.day, []).append(one)
    last = [days[day] for day in sorted(days)[-2:]]
    return len(last) == 2 and all(  # noqa: PLR2004 (two days)
        any(one.part == part and one.missed for one in day)
        and not any(one.part == part and one.clean for one in day)
        for day in last
    )
