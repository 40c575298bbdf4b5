"""An entry as a row of text and numbers, and its mark.

Conventions: days and moments as ISO 8601 writes them, fractions as ``112`` or ``225/2``. The mark
is a digest of the fields that say something, so a field added by a later version changes no old
mark; no field holds the zero that parts them.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import fields
from datetime import date, datetime
from fractions import Fraction
from functools import lru_cache
from typing import Any, Final

from chartkit.practice.entry import Entry

FIELDS: Final = tuple(field.name for field in fields(Entry))
"""Of an entry, in their order."""

_BY_NAME: Final = tuple(sorted(FIELDS))
_NOTHING: Final = (None, "")

Stored = str | int | None

_fraction: Final = lru_cache(Fraction)
_day: Final = lru_cache(date.fromisoformat)


def to_row(entry: Entry) -> dict[str, Stored]:
    """Return an entry's fields as text and numbers, in the order of `FIELDS`."""
    row: dict[str, Stored] = {name: getattr(entry, name) for name in FIELDS}
    row["day"] = entry.day.isoformat()
    row["at"] = f"{entry.at.replace(tzinfo=None).isoformat()}Z"
    row["tempo"] = None if entry.tempo is None else str(entry.tempo)
    return row


def from_row(row: Mapping[str, Stored]) -> Entry:
    """Return the entry of a row; the inverse of `to_row`.

    Raises
    ------
    RequestError, ValueError, TypeError, ZeroDivisionError
        It is none.
    """
    values: dict[str, Any] = dict(row)
    values["day"] = _day(values["day"])
    values["at"] = datetime.fromisoformat(values["at"])
    values["tempo"] = None if values["tempo"] is None else _fraction(values["tempo"])
    return Entry(**values)


def mark(row: Mapping[str, Stored]) -> str:
    """Return the digest of what a row says."""
    said = [f"{name}={row[name]}" for name in _BY_NAME if row.get(name) not in _NOTHING]
    return hashlib.sha256("\0".join(said).encode()).hexdigest()[:32]
