"""An entry as a row of text and numbers, and its mark.

Conventions: days and moments as ISO 8601 writes them, fractions as ``112`` or ``225/2``. The mark
is a digest of the fields that say something: a field added by a later version changes no old mark.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields
from datetime import date, datetime
from fractions import Fraction
from typing import Final, cast

from chartkit.practice.entry import Entry

FIELDS: Final = tuple(field.name for field in fields(Entry))
"""Of an entry, in their order."""

WRITTEN_MOMENT: Final = "%Y-%m-%dT%H:%M:%SZ"

Stored = str | int | None


def to_row(entry: Entry) -> dict[str, Stored]:
    """Return an entry's fields as text and numbers, in the order of `FIELDS`."""
    row: dict[str, Stored] = {name: getattr(entry, name) for name in FIELDS}
    row["day"] = entry.day.isoformat()
    row["at"] = f"{entry.at:{WRITTEN_MOMENT}}".rjust(len("2000-01-01T00:00:00Z"), "0")
    row["tempo"] = None if entry.tempo is None else str(entry.tempo)
    return row


def from_row(row: Mapping[str, Stored]) -> Entry:
    """Return the entry of a row; the inverse of `to_row`.

    Raises
    ------
    RequestError, ValueError, TypeError, ZeroDivisionError
        It is none.
    """
    values = dict(row)
    tempo = values.pop("tempo")
    return Entry(
        **cast("dict[str, str]", values)
        | {  # type: ignore[arg-type]
            "day": date.fromisoformat(cast("str", row["day"])),
            "at": datetime.strptime(cast("str", row["at"]) + "+0000", f"{WRITTEN_MOMENT}%z"),
            "tempo": None if tempo is None else Fraction(tempo),
        }
    )


def mark(row: Mapping[str, Stored]) -> str:
    """Return the digest of what a row says."""
    said = {name: row.get(name) for name in FIELDS if row.get(name) not in (None, "")}
    text = json.dumps(said, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:32]
