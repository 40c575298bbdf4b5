"""How fast today: a ladder of tempos that the log climbs, for each item its own.

The rule, with its numbers from the template: a ladder begins a little under the best clean tempo of
what is nearest to it; three clean runs in a row, and the next day is a step faster; two misses in a
row, and it is a step slower, by 8 to 10 in a hundred; after a break it begins a little under its
best again, or a step over what was clean right after an earlier one, so that who always comes back
after long gaps climbs too. Source: common practice, no source; clean complete runs go with results
rather than minutes (Duke, Simmons & Cash 2009, from the abstract).

Conventions: quarter notes a minute; whole ones, or halves under 50.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import pairwise
from math import floor
from typing import Final

from chartkit.practice.past import Try
from chartkit.practice.template import Template

FALL: Final = Fraction(9, 100)
"""How far a tempo falls: the middle of 8 to 10 in a hundred, then rounded."""

FINE_UNDER: Final = 50
"""Under this tempo a whole quarter a minute is too coarse a step."""

SLOWEST: Final = Fraction(30)
FASTEST: Final = Fraction(400)


@dataclass(frozen=True, slots=True)
class Rung:
    """A tempo, and why it is this one, as a clause."""

    tempo: Fraction
    why: str


def rounded(tempo: Fraction) -> Fraction:
    """Return the nearest tempo that a metronome would be set to.

    >>> rounded(Fraction(1337, 10)), rounded(Fraction(413, 10))
    (Fraction(134, 1), Fraction(83, 2))
    """
    parts = 1 if tempo >= FINE_UNDER else 2
    return Fraction(floor(tempo * parts + Fraction(1, 2)), parts)


def faster(tempo: Fraction, template: Template, goal: Fraction) -> Fraction:
    """Return the next tempo up, by at least half a quarter a minute and not past the goal."""
    return min(max(rounded(tempo * (1 + template.up)), tempo + Fraction(1, 2)), goal)


def slower(tempo: Fraction) -> Fraction:
    """Return the next tempo down, 8 to 10 in a hundred less; `SLOWEST` is the floor."""
    return max(SLOWEST, rounded(tempo * (1 - FALL)))


def a_little_under(tempo: Fraction, template: Template) -> Fraction:
    """Return where a ladder begins under a best tempo."""
    return max(min(SLOWEST, tempo), rounded(tempo * (1 - template.under)))


def best(tries: Iterable[Try]) -> Fraction | None:
    """Return the fastest clean tempo."""
    return max((t.tempo for t in tries if t.clean and t.tempo is not None), default=None)


def rung(
    tries: Iterable[Try],
    own: Callable[[Try], bool],
    *,
    begin: Fraction,
    goal: Fraction,
    day: date,
    template: Template,
) -> Rung:
    """Return today's tempo on a ladder.

    Parameters
    ----------
    tries : iterable of Try
        Of everything that keeps the hands in: a break is one from all of it.
    own : callable
        Tells which of them are on this ladder.
    begin : Fraction
        Where it begins.
    goal : Fraction
        Where it ends.
    day : date
        Today.
    template : Template
    """
    now, why = min(begin, goal), "the tempo begins here"
    clean = missed = 0
    top: Fraction | None = None
    cold: Fraction | None = None
    last: date | None = None
    tries = tuple(tries)
    returned = {two.day for one, two in pairwise(tries) if _is_break(one.day, two.day, template)}
    for one in tries:
        if top is not None and one.day != last and one.day in returned:
            under = _after_a_break(now, top, cold, template)
            clean, missed = (clean, missed) if under == now else (0, 0)
            now = under
        last = one.day
        if not own(one):
            continue
        if one.clean:
            played = min(goal, one.tempo or now)
            top = max(top or played, played)
            if one.day in returned:
                cold = max(cold or played, played)
            clean = clean + one.runs if played >= now else one.runs
            missed, now = 0, max(now, played)
            why = f"the tempo stays: {clean} clean in a row"
            if clean >= template.runs_up and now < goal:
                now, clean = faster(now, template, goal), 0
                why = "the tempo goes up a step after clean runs"
        elif one.missed:
            clean, missed = 0, missed + 1
            why = "the tempo stays after a miss"
            if missed >= template.misses_down:
                now, missed = slower(now), 0
                why = "the tempo goes down a step after misses"
    if top is not None and last is not None and _is_break(last, day, template):
        under = _after_a_break(now, top, cold, template)
        days = (day - last).days
        why = why if under == now else f"the tempo is a little under your best after {days} days"
        now = under
    return Rung(now, "the tempo is at the goal" if now >= goal else why)


def _after_a_break(
    now: Fraction, top: Fraction, cold: Fraction | None, template: Template
) -> Fraction:
    """Return the tempo after a break: at most the rung it had come to.

    Parameters
    ----------
    now, top : Fraction
        The rung before the break, and the best clean tempo.
    cold : Fraction or None
        The best clean tempo on a day that came after a break.
    """
    under = a_little_under(top, template)
    return min(now, under if cold is None else max(under, faster(cold, template, now)))


def words(tempo: Fraction) -> str:
    """Return a tempo as it is said.

    >>> words(Fraction(83, 2))
    '41.5'
    """
    return f"{float(tempo):g}"


def _is_break(last: date, day: date, template: Template) -> bool:
    return (day - last).days > template.break_days
