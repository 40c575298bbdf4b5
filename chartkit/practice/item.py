"""One thing to do today: enough to make its page and its sound, in time that is exact.

Conventions: beats are quarter notes, tempos quarter notes a minute. An item lasts from its count-in
to the end of the rest after it, so that a day's items end to end are the day.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, fields, replace
from datetime import date, datetime
from fractions import Fraction
from typing import Any, Final, cast

from chartkit.practice.entry import Entry, Result

PLAIN: Final = "scale"
"""What scales are that have no figure; it takes no place in the round of figures."""

_RUNS: Final = re.compile(r" x(\d{1,4})$")


@dataclass(frozen=True, slots=True)
class Item:
    """What to practise, where, how fast, for how long, and why today.

    Parameters
    ----------
    activity : str
        One of `chartkit.practice.entry.ACTIVITIES`.
    title : str
        What it is, in a few words.
    kind : str
        A figure, finger patterns, a kind of chord, a line of `chartkit.practice.lines`, a phrase,
        or how the band plays.
    tempo : Fraction
    tune, part : str or None
        The tune's id, and a part of it; see `chartkit.practice.entry`.
    family : str or None
        Of a scale.
    keys : tuple of str
        In order; a tune has one, or none where it stays in its own.
    position : int or None
        None for the whole neck.
    figured : int
        So many of the keys of scales, the first ones, have the figure too.
    phrase : str
        Id of a phrase; empty for none.
    beats, rounds : Fraction, int
        Once round, and how often.
    count_in : Fraction
        Beats before.
    rest : int
        Seconds after.
    turn : int
        From 1; in mixed order an item comes in two turns.
    why : str
        One sentence.
    """

    activity: str
    title: str
    kind: str
    tempo: Fraction
    tune: str | None = None
    part: str | None = None
    family: str | None = None
    keys: tuple[str, ...] = ()
    position: int | None = None
    figured: int = 0
    phrase: str = ""
    beats: Fraction = Fraction(0)
    rounds: int = 1
    count_in: Fraction = Fraction(0)
    rest: int = 0
    turn: int = 1
    why: str = ""

    @property
    def music(self) -> Fraction:
        """Seconds from the start of the count-in to the last bar line."""
        return (self.count_in + self.beats * self.rounds) * 60 / self.tempo

    @property
    def seconds(self) -> Fraction:
        """Seconds in all, the rest included."""
        return self.music + self.rest

    @property
    def runs(self) -> int:
        """How many runs a clean item counts for: one for each key, or finger pattern, each time."""
        patterns = len(self.kind.split()) if self.activity == "warm-up" else 1
        return self.rounds * max(1, len(self.keys), patterns)

    @property
    def key(self) -> str:
        """The item's name in the log, the same whenever the day is asked for."""
        place = "" if self.position is None else str(self.position)
        words = (self.activity, self.kind, self.tune, self.part, self.family)
        named = [word for word in (*words, place, " ".join(self.keys)) if word]
        turn = [f"turn {self.turn}"] if self.turn > 1 else []
        return f"{'/'.join((*named, *turn))[:180].strip()} x{self.runs}"

    @property
    def combination(self) -> tuple[object, ...]:
        """What must not be the same two days running."""
        keys = tuple(sorted(self.keys))
        return self.activity, self.kind, self.tune, self.part, self.family, keys, self.position


def runs_of(entry: Entry) -> int:
    """Return how many runs an entry stands for, one where it answers no item."""
    found = _RUNS.search(entry.item)
    return max(1, int(found[1])) if found else 1


def entries_of(
    item: Item,
    player: str,
    day: date,
    at: datetime,
    result: Result,
    *,
    tempo: Fraction | None = None,
    note: str = "",
) -> tuple[Entry, ...]:
    """Return what the log should hold of an item that was played: an entry a key.

    Keys of scales that had no figure are entries of plain scales.

    Parameters
    ----------
    item : Item
    player : str
    day : date
    at : datetime
        In UTC, whole seconds.
    result : {"clean", "not yet", "done"}
    tempo : Fraction, optional
        The item's own by default.
    note : str
        Stands in the first entry.
    """
    keys: tuple[str | None, ...] = item.keys or (None,)
    whole = round(item.seconds)
    shares = [whole * (n + 1) // len(keys) - whole * n // len(keys) for n in range(len(keys))]
    return tuple(
        Entry(
            player=player,
            day=day,
            at=at,
            activity=item.activity,
            tune=item.tune,
            part=item.part,
            kind=_kind(item, number),
            family=item.family,
            key=key,
            position=item.position,
            tempo=item.tempo if tempo is None else tempo,
            result=result,
            seconds=seconds,
            note=note if number == 0 else "",
            item=item.key,
        )
        for number, (key, seconds) in enumerate(zip(keys, shares, strict=True))
    )


def _kind(item: Item, number: int) -> str:
    """Return what was played in an item's number-th key, from 0."""
    return PLAIN if item.activity == "scales" and number >= item.figured else item.kind


def to_json(item: Item) -> dict[str, Any]:
    """Return an item as plain values: fractions as text, and its seconds and its key beside."""
    plain = {field.name: _plain(getattr(item, field.name)) for field in fields(item)}
    return {"key": item.key, "seconds": round(float(item.seconds), 3), **plain}


def from_json(values: dict[str, Any]) -> Item:
    """Return the item of plain values; the inverse of `to_json`.

    Raises
    ------
    KeyError, TypeError, ValueError, ZeroDivisionError
        They are none.
    """
    made = {field.name: values[field.name] for field in fields(Item)}
    for name in ("tempo", "beats", "count_in"):
        made[name] = Fraction(made[name])
    made["keys"] = tuple(made["keys"])
    return replace(Item("", "", "", Fraction(1)), **cast("Any", made))


def _plain(value: object) -> object:
    if isinstance(value, Fraction):
        return str(value)
    return list(value) if isinstance(value, tuple) else value
