"""Looking back: what the entries of some weeks add up to.

Conventions: days are the player's own, tempos quarter notes a minute. A run is clean where every
entry of it is (`chartkit.practice.past.Try`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from fractions import Fraction

from chartkit.practice.coverage import Square, coverage
from chartkit.practice.entry import Entry
from chartkit.practice.past import Try, past_of
from chartkit.practice.stretches import Unit, start_of, starts, unit_of


@dataclass(frozen=True, slots=True)
class TuneSeen:
    """What looking back needs of a tune beside its entries.

    Parameters
    ----------
    title : str
    goal : Fraction or None
        The tempo to reach.
    key : str
        Its own; empty where it is not known.
    """

    title: str
    goal: Fraction | None = None
    key: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """The fastest clean tempo of a part on a day, or the fastest that was not clean yet."""

    day: date
    tempo: Fraction
    clean: bool


@dataclass(frozen=True, slots=True)
class Part:
    """How a part of a tune went over the time.

    Parameters
    ----------
    tune : str
        Its id.
    title : str
    part : str
    goal : Fraction or None
    marks : tuple of Mark
        In order of days.
    """

    tune: str
    title: str
    part: str
    goal: Fraction | None
    marks: tuple[Mark, ...]

    @property
    def clean(self) -> tuple[Mark, ...]:
        """Those that were clean."""
        return tuple(mark for mark in self.marks if mark.clean)

    @property
    def best(self) -> Fraction | None:
        """The fastest clean tempo."""
        return max((mark.tempo for mark in self.clean), default=None)


@dataclass(frozen=True, slots=True)
class Stretch:
    """A week, month or year: its first day, minutes practised, clean runs, days with practice."""

    start: date
    minutes: Fraction
    clean: int
    days: int


@dataclass(frozen=True, slots=True)
class Ahead:
    """What is due.

    Parameters
    ----------
    tune : str
        Its id.
    what : str
        Its title, and the part.
    day : date or None
        When it comes back; None for what is under way.
    why : str
        A clause.
    """

    tune: str
    what: str
    day: date | None
    why: str


@dataclass(frozen=True, slots=True)
class Report:
    """A player's practice over a time.

    Parameters
    ----------
    player : str
    since, until : date
        Both included.
    tune : str
        Title of the one tune that it is about; empty for everything.
    days : int
        On which something was practised.
    minutes : Fraction
    clean : int
        Clean runs.
    unit : {"week", "month", "year"}
    stretches : tuple of Stretch
    parts : tuple of Part
        The tune played last first.
    squares : tuple of Square
    ahead : tuple of Ahead
    """

    player: str
    since: date
    until: date
    tune: str
    days: int
    minutes: Fraction
    clean: int
    unit: Unit
    stretches: tuple[Stretch, ...]
    parts: tuple[Part, ...]
    squares: tuple[Square, ...]
    ahead: tuple[Ahead, ...] = field(default=())


def report(
    player: str,
    entries: Sequence[Entry],
    since: date,
    until: date,
    *,
    tunes: Mapping[str, TuneSeen] | None = None,
    tune: str | None = None,
    ahead: Sequence[Ahead] = (),
) -> Report:
    """Return what a player's entries add up to.

    Parameters
    ----------
    player : str
    entries : sequence of Entry
        The player's; those outside the time are passed over.
    since, until : date
        Both included, in this order.
    tunes : mapping, optional
        By id.
    tune : str, optional
        Id of the one tune to look at.
    ahead : sequence of Ahead
        That of other tunes is passed over.
    """
    known = tunes or {}
    seen = [
        entry
        for entry in entries
        if since <= entry.day <= until and (tune is None or entry.tune == tune)
    ]
    tries = tries_of(seen)
    unit = unit_of(since, until)
    return Report(
        player,
        since,
        until,
        "" if tune is None else known.get(tune, TuneSeen(tune)).title,
        len({entry.day for entry in seen}),
        Fraction(sum(entry.seconds for entry in seen), 60),
        sum(one.runs for one in tries if one.clean),
        unit,
        _stretches(seen, tries, tuple(starts(since, until, unit)), unit),
        _parts(tries, known),
        coverage(seen, {one: facts.key for one, facts in known.items()}),
        tuple(one for one in ahead if tune in (None, one.tune)),
    )


def tries_of(entries: Sequence[Entry]) -> tuple[Try, ...]:
    """Return the runs that entries are, in order of days."""
    last = max((entry.day for entry in entries), default=date.min)
    return past_of(min(last, date.max - timedelta(days=1)) + timedelta(days=1), entries).tries


def _stretches(
    entries: Iterable[Entry], tries: Iterable[Try], begins: Sequence[date], unit: Unit
) -> tuple[Stretch, ...]:
    seconds = dict.fromkeys(begins, 0)
    clean = dict.fromkeys(begins, 0)
    days: dict[date, set[date]] = {start: set() for start in begins}
    for entry in entries:
        start = start_of(entry.day, unit)
        seconds[start] += entry.seconds
        days[start].add(entry.day)
    for one in tries:
        clean[start_of(one.day, unit)] += one.runs if one.clean else 0
    return tuple(
        Stretch(start, Fraction(seconds[start], 60), clean[start], len(days[start]))
        for start in begins
    )


def _parts(tries: Sequence[Try], known: Mapping[str, TuneSeen]) -> tuple[Part, ...]:
    """Return the parts: the tune played last first, its parts as they came."""
    best: dict[tuple[str, str], dict[tuple[date, bool], Fraction]] = {}
    last: dict[str, date] = {}
    for one in tries:
        if one.tune is None or one.part is None or one.tempo is None:
            continue
        if not (one.clean or one.missed):
            continue
        marks = best.setdefault((one.tune, one.part), {})
        marks[one.day, one.clean] = max(one.tempo, marks.get((one.day, one.clean), one.tempo))
        last[one.tune] = one.day
    order = sorted(best, key=lambda named: last[named[0]], reverse=True)
    return tuple(_part(*named, best[named], known) for named in order)


def _part(
    tune: str,
    part: str,
    marks: Mapping[tuple[date, bool], Fraction],
    known: Mapping[str, TuneSeen],
) -> Part:
    facts = known.get(tune, TuneSeen(tune))
    found = [
        Mark(day, tempo, clean)
        for (day, clean), tempo in sorted(marks.items())
        if clean or tempo > marks.get((day, True), Fraction(0))
    ]
    return Part(tune, facts.title, part, facts.goal, tuple(found))
