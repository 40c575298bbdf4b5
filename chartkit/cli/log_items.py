"""From what a player says about an item, or about anything else, to entries of the log."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction

from chartkit.errors import RequestError
from chartkit.guitar.fretboard import numeral
from chartkit.practice.entry import ME, Entry, Result, now
from chartkit.practice.item import Item, entries_of
from chartkit.practice.log import Log
from chartkit.practice.plan import read_plan

ALL = "all"


@dataclass(frozen=True, slots=True)
class Said:
    """What a player says of how it went.

    Parameters
    ----------
    result : {"clean", "not yet", "done"}
    tempo : Fraction or None
        None for the planned one.
    note : str
    seconds : int or None
        None for the planned ones.
    """

    result: Result = "done"
    tempo: Fraction | None = None
    note: str = ""
    seconds: int | None = None


def items_of(log: Log, player: str, day: date) -> tuple[Item, ...]:
    """Return the items of the plan that was kept for a day.

    Raises
    ------
    RequestError
        There is none.
    """
    text = log.plan(player, day)
    if text is None:
        whose = "" if player == ME else f" of {player}"
        raise RequestError(
            f"there is no plan{whose} for {day}: make one with `chartkit today`, "
            "or say what it was with --activity"
        )
    return read_plan(text).items


def open_items(log: Log, player: str, day: date, items: Sequence[Item]) -> tuple[int, ...]:
    """Return the numbers, from 1, of the items that have no entry yet."""
    noted = {entry.item for entry in log.entries(player, day, day)}
    return tuple(number for number, item in enumerate(items, 1) if item.key not in noted)


def chosen(words: Sequence[str], still_open: Sequence[int], count: int) -> tuple[int, ...]:
    """Return the numbers of the items that a player names.

    Parameters
    ----------
    words : sequence of str
        Numbers, or `ALL` for those still open.
    still_open : sequence of int
    count : int
        Of items in the plan.

    Raises
    ------
    RequestError
        There is no such item.
    """
    found: list[int] = []
    for word in words:
        if word.lower() == ALL:
            found += still_open
        elif word.isascii() and word.isdecimal() and 1 <= int(word[:9]) <= count:
            found.append(int(word))
        else:
            raise RequestError(f"there is no item `{word}`: say 1 to {count}, or {ALL}")
    return tuple(dict.fromkeys(found))


def of_items(items: Sequence[Item], said: Said, player: str, day: date) -> tuple[Entry, ...]:
    """Return the entries of items that went alike."""
    at = now()
    return tuple(
        entry
        for item in items
        for entry in _in_time(
            entries_of(item, player, day, at, said.result, tempo=said.tempo, note=said.note),
            said.seconds,
        )
    )


def _in_time(entries: Sequence[Entry], seconds: int | None) -> Sequence[Entry]:
    """Share out the time that it took, where the player says it."""
    if seconds is None:
        return entries
    shares = [seconds * n // len(entries) for n in range(len(entries) + 1)]
    return [
        replace(entry, seconds=after - before)
        for entry, before, after in zip(entries, shares, shares[1:], strict=False)
    ]


def record(log: Log, entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Write entries; what was said before in the same second gets a second of its own."""
    noted = {one for entry in entries for one in log.entries(entry.player, entry.day, entry.day)}
    while not noted.isdisjoint(entries):
        entries = [replace(entry, at=entry.at + timedelta(seconds=1)) for entry in entries]
    log.record(entries)
    return tuple(entries)


def words(item: Item) -> str:
    """Return an item in one line."""
    place = [f"position {numeral(item.position)}"] if item.position else []
    keys = [" ".join(item.keys)] if item.keys else []
    return ", ".join((item.title, *place, *keys, f"at {plain(item.tempo)}"))


def went(number: int, item: Item, said: Said) -> str:
    """Return in one line how an item went."""
    tempo = plain(item.tempo if said.tempo is None else said.tempo)
    return f"{number}  {item.title}: {said.result} at {tempo}"


def told(entry: Entry) -> str:
    """Return an entry in one line."""
    place = f"position {numeral(entry.position)}" if entry.position else None
    about = (entry.activity, entry.tune, entry.part, entry.kind, entry.family, entry.key, place)
    tempo = "" if entry.tempo is None else f" at {plain(entry.tempo)}"
    note = f" ({' '.join(entry.note.split())})" if entry.note else ""
    return f"{', '.join(filter(None, about))}: {entry.result}{tempo}{note}"


def plain(tempo: Fraction) -> str:
    """Return a tempo as it is said."""
    return f"{float(tempo):g}"
