"""What was practised before a day, as far as planning needs it.

Conventions: the past is what the log holds: entries, and the plans that were kept. What was planned
counts as had in a rotation, whether it was noted or not; only entries count for tempos and growth.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from itertools import groupby
from operator import attrgetter

from chartkit.practice.entry import Entry
from chartkit.practice.item import PLAIN, Item, runs_of


@dataclass(frozen=True, slots=True)
class Had:
    """Something that a day held."""

    day: date
    activity: str
    kind: str
    tune: str | None
    part: str | None
    family: str | None
    keys: tuple[str, ...]
    position: int | None

    @property
    def combination(self) -> tuple[object, ...]:
        """As `chartkit.practice.item.Item.combination`."""
        keys = tuple(sorted(self.keys))
        return self.activity, self.kind, self.tune, self.part, self.family, keys, self.position


@dataclass(frozen=True, slots=True)
class Try:
    """An item as it went: clean where every entry of it was, missed where any was.

    Scales of which only some keys had the figure are two: those, and the plain ones.

    Parameters
    ----------
    day : date
    activity, kind : str
    tune, part : str or None
    tempo : Fraction or None
    clean, missed : bool
        Both False where nobody judged.
    runs : int
    """

    day: date
    activity: str
    kind: str
    tune: str | None
    part: str | None
    tempo: Fraction | None
    clean: bool
    missed: bool
    runs: int


@dataclass(frozen=True, slots=True)
class Past:
    """All before a day, in order of days."""

    had: tuple[Had, ...] = ()
    tries: tuple[Try, ...] = ()

    def __add__(self, later: Past) -> Past:
        """Return this past with a later one after it."""
        return Past(self.had + later.had, self.tries + later.tries)


def past_of(
    day: date, entries: Sequence[Entry], plans: Iterable[tuple[date, Sequence[Item]]] = ()
) -> Past:
    """Return the past of a day; what is of the day itself or later is left out."""
    before = sorted((e for e in entries if e.day < day), key=attrgetter("day"))
    planned = [_of_item(on, item) for on, items in plans if on < day for item in items]
    known = {*planned, *(replace(one, kind=PLAIN) for one in planned if one.activity == "scales")}
    noted = [one for one in _of_entries(before) if one not in known]
    return Past(
        tuple(sorted([*planned, *noted], key=attrgetter("day"))),
        tuple(_tries(before)),
    )


def _of_item(day: date, item: Item) -> Had:
    return Had(
        day,
        item.activity,
        item.kind,
        item.tune,
        item.part,
        item.family,
        item.keys,
        item.position,
    )


def _of_entries(entries: Sequence[Entry]) -> Iterator[Had]:
    for first, *others in _items(entries):
        keys = tuple(dict.fromkeys(e.key for e in (first, *others) if e.key))
        yield Had(
            first.day,
            first.activity,
            first.kind or "",
            first.tune,
            first.part,
            first.family,
            keys,
            first.position,
        )


def _tries(entries: Sequence[Entry]) -> Iterator[Try]:
    kinds = ((item, same) for item in _items(entries) for same in _of_one_kind(item))
    for item, same in kinds:
        results = {entry.result for entry in same}
        first = same[0]
        tempos = [entry.tempo for entry in same if entry.tempo is not None]
        yield Try(
            first.day,
            first.activity,
            first.kind or "",
            first.tune,
            first.part,
            min(tempos, default=None),
            results == {"clean"},
            "not yet" in results,
            max(1, runs_of(first) * len(same) // len(item)),
        )


def _items(entries: Sequence[Entry]) -> Iterator[list[Entry]]:
    """Yield the entries of a day that answer one item at one moment together, others alone."""

    def together(entry: Entry) -> tuple[object, ...]:
        where = (entry.family, entry.position, entry.tune, entry.part)
        return entry.day, entry.at, entry.item, entry.activity, where

    for same, group in groupby(entries, key=together):
        if same[2]:
            yield list(group)
        else:
            yield from ([entry] for entry in group)


def _of_one_kind(item: Sequence[Entry]) -> Iterator[list[Entry]]:
    """Yield the entries of an item that are of one kind together."""
    for _, group in groupby(item, key=attrgetter("kind")):
        yield list(group)
