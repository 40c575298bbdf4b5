"""How a tune grows: section by section, over the joins, to larger parts and the whole form.

The rule: the first section for days, then the next one, the joins between it and what is known (the
last two bars of one with the first two of the next), then both together, and so on to the whole
form; after that new positions, new keys, harder lines. A part is there after clean runs at the goal
tempo on so many different days. After two days that missed it, the part before it has a day, and
then it is tried again. Source: common practice, no source; a section for days rather than once:
gains in accuracy came only with a day between sessions (Simmons 2012, from the abstract).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import pairwise
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
    own = [one for one in tries if one.tune == tune.id and one.activity in GROWS_BY]
    there: list[str] = []
    for part in order:
        if not is_there(part, own, goal, template):
            break
        there.append(part)
    if len(there) == len(order):
        return _beyond(order, own, goal, template)
    due, number = order[len(there)], len(there) + 1
    if there and _missed_twice(due, own):
        why = f"a day for what leads up to {due}, which was missed two days running"
        return Stage(order[number - 2], number - 1, len(order), 0, why, tuple(there), back=True)
    days = clean_days(due, own, goal)
    left = template.clean_days - days
    why = (
        f"part {number} of {len(order)}: {left} more clean {'day' if left == 1 else 'days'} "
        f"at {float(goal):g} and the next one comes"
    )
    return Stage(due, number, len(order), 0, why, tuple(there))


def is_there(part: str, own: Iterable[Try], goal: Fraction, template: Template) -> bool:
    """Tell whether a part has had its clean days."""
    return clean_days(part, own, goal) >= template.clean_days


def clean_days(part: str, own: Iterable[Try], goal: Fraction) -> int:
    """Return on how many days a part was clean at the goal tempo."""
    clean = {one.day for one in own if one.part == part and _at_goal(one, goal)}
    return len(clean)


def _beyond(
    order: tuple[str, ...], own: Sequence[Try], goal: Fraction, template: Template
) -> Stage:
    days = clean_days(FORM, own, goal) - template.clean_days
    steps = min(len(BEYOND), days // template.clean_days)
    if steps == len(BEYOND):
        why = "the tune is yours: it comes back so that it stays"
        return Stage(FORM, len(order), len(order), steps, why, order, finished=True)
    why = f"the whole form is there; now {BEYOND[steps]}"
    return Stage(FORM, len(order), len(order), steps, why, order)


def finished_on(
    tune: TuneFacts, tries: Sequence[Try], goal: Fraction, template: Template
) -> date | None:
    """Return the day on which a tune was finished; None where it is not."""
    own = [one for one in tries if one.tune == tune.id and one.activity in GROWS_BY]
    if not all(is_there(part, own, goal, template) for part in parts(tune)):
        return None
    days = sorted({one.day for one in own if one.part == FORM and _at_goal(one, goal)})
    needed = template.clean_days * (1 + len(BEYOND))
    return days[needed - 1] if len(days) >= needed else None


def _at_goal(one: Try, goal: Fraction) -> bool:
    return one.clean and one.tempo is not None and one.tempo >= goal


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
