"""Entries as a table for a player, or as one list for other programs."""

from __future__ import annotations

import json
from collections.abc import Sequence

from chartkit.cli.log_items import plain
from chartkit.cli.tables import table
from chartkit.guitar.fretboard import numeral
from chartkit.practice.entry import Entry
from chartkit.practice.stored import to_row


def as_table(entries: Sequence[Entry]) -> str:
    """Return entries one a line: day, what, where, how fast, how it went."""
    return "\n".join(table([_row(entry) for entry in entries]))


def as_json(entries: Sequence[Entry]) -> str:
    """Return entries as a list of objects with the fields of an export."""
    return json.dumps([to_row(entry) for entry in entries], ensure_ascii=False, indent=2)


def _row(entry: Entry) -> tuple[str, ...]:
    about = (entry.tune, entry.part, entry.kind, entry.family)
    return (
        entry.day.isoformat(),
        entry.activity,
        ", ".join(filter(None, about)),
        entry.key or "",
        numeral(entry.position) if entry.position else "",
        "" if entry.tempo is None else plain(entry.tempo),
        entry.result,
        " ".join(entry.note.split()),
    )
