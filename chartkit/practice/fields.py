"""An entry from fields that somebody wrote: in a table, in a text of JSON.

Conventions: an empty field is one that says nothing. Only the day and the activity must be there;
an entry without a moment gets one from its place in the file, so that the same file read twice is
the same entries.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from typing import Any, Final

from chartkit.errors import OutputError, RequestError
from chartkit.practice.entry import Entry
from chartkit.practice.stored import FIELDS

NEEDED: Final = ("day", "activity")

MOST_FAULTS: Final = 15
"""Faults of one file that are told; more would not be read."""

NOON: Final = timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class Record:
    """The fields of one entry and the row of the file that they stand in, counted from 1."""

    row: int
    fields: tuple[tuple[str, object], ...]


def entries_of(
    records: Iterable[Record], source: str, player: str, renamed: Mapping[str, str] | None = None
) -> tuple[Entry, ...]:
    """Return the entries of a file.

    Parameters
    ----------
    records : iterable of Record
    source : str
        The file's name.
    player : str
        Whose the entries are that name no player.
    renamed : mapping, optional
        Ids of tunes in the file and the ids that they have here.

    Raises
    ------
    OutputError
        Naming each row and field at fault, at most `MOST_FAULTS`; then no entry is returned.
    """
    found, faults = [], []
    for record in records:
        try:
            found.append(_entry(record, player, renamed or {}))
        except RequestError as error:
            faults.append(f"{source}: row {record.row}: {error}")
    if faults:
        more = len(faults) - MOST_FAULTS
        told = [*faults[:MOST_FAULTS], *([f"and {more} more"] if more > 0 else [])]
        raise OutputError("nothing was read, for these faults:\n" + "\n".join(told))
    return tuple(found)


def check_columns(names: Iterable[str]) -> None:
    """Refuse fields that no entry has, fields twice, and the lack of those that it needs.

    Raises
    ------
    RequestError
    """
    names = list(names)
    strange = [name for name in names if name not in FIELDS]
    if strange:
        raise RequestError(
            f"`{strange[0]}` is no field of an entry; these are: {', '.join(FIELDS)}"
        )
    twice = [name for name in names if names.count(name) > 1]
    if twice:
        raise RequestError(f"the field `{twice[0]}` is there twice")
    lacking = [name for name in NEEDED if name not in names]
    if lacking:
        raise RequestError(f"the field `{lacking[0]}` is missing")


def _entry(record: Record, player: str, renamed: Mapping[str, str]) -> Entry:
    said = {name: value for name, value in record.fields if value not in (None, "")}
    check_columns(said)
    values: dict[str, Any] = {"player": player}
    for name, value in said.items():
        values[name] = _read(name, value)
    if "at" not in values:
        start = datetime.combine(values["day"], datetime.min.time(), UTC)
        values["at"] = start + NOON + timedelta(seconds=record.row % NOON.seconds)
    if "tune" in values:
        values["tune"] = renamed.get(values["tune"], values["tune"])
    return Entry(**values)


def _read(name: str, value: object) -> object:
    read, example = _READERS.get(name, (_text, "a text"))
    try:
        return read(value)
    except (ValueError, TypeError, OverflowError, ZeroDivisionError):
        shown = repr(value) if len(repr(value)) < 60 else f"{repr(value)[:60]}..."  # noqa: PLR2004
        raise RequestError(f"{name}: {shown} is not {example}") from None


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError
    return value


def _day(value: object) -> date:
    return date.fromisoformat(_text(value))


def _moment(value: object) -> datetime:
    moment = datetime.fromisoformat(_text(value))
    if moment.tzinfo is None:
        raise ValueError
    return moment.astimezone(UTC)


def _whole(value: object) -> int:
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    if not re.fullmatch(r"[0-9]{1,9}", _text(value)):
        raise ValueError
    return int(_text(value))


def _tempo(value: object) -> Fraction:
    text = str(value) if isinstance(value, int) and not isinstance(value, bool) else _text(value)
    if not re.fullmatch(r"[0-9]{1,12}([./][0-9]{1,12})?", text):
        raise ValueError
    return Fraction(text)


_READERS: Final[dict[str, tuple[Callable[[object], object], str]]] = {
    "day": (_day, "a day such as 2026-03-01"),
    "at": (_moment, "a moment such as 2026-03-01T18:30:00Z"),
    "position": (_whole, "a position such as 5"),
    "tempo": (_tempo, "a tempo such as 112 or 225/2"),
    "seconds": (_whole, "a number of seconds"),
}
