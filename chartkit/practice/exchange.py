"""The log as text to carry elsewhere: CSV (RFC 4180) and JSON (RFC 8259), there and back exactly.

Conventions: CSV has a header row and one row an entry, an empty field where an entry says nothing.
JSON has the entries in the same fields and, besides, the tunes that they name, so that the log that
reads it knows those tunes by their content.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from chartkit.errors import OutputError, RequestError
from chartkit.practice.entry import Entry
from chartkit.practice.fields import Record, check_columns
from chartkit.practice.knowing import Tune
from chartkit.practice.stored import FIELDS, to_row

PARTED_BY: Final = ",;\t"
"""What may stand between the fields of a table; the first is ours."""

VERSION: Final = 1
"""Of the JSON text."""


@dataclass(frozen=True, slots=True)
class Carried:
    """What a text holds: records of entries, and tunes."""

    records: tuple[Record, ...]
    tunes: tuple[Tune, ...] = ()


def to_csv(entries: Sequence[Entry]) -> str:
    """Return entries as a table."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(FIELDS)
    for entry in entries:
        writer.writerow(["" if value is None else value for value in to_row(entry).values()])
    return text.getvalue()


def to_json(entries: Sequence[Entry], tunes: Sequence[Tune]) -> str:
    """Return entries and the tunes that they name."""
    named = {entry.tune for entry in entries}
    values = {
        "log": VERSION,
        "tunes": [
            {"id": tune.id, "title": tune.title, "contents": list(tune.contents)}
            for tune in tunes
            if tune.id in named
        ],
        "entries": [to_row(entry) for entry in entries],
    }
    return json.dumps(values, ensure_ascii=False, indent=1) + "\n"


def from_csv(text: str, source: str) -> Carried:
    """Read a table.

    Raises
    ------
    OutputError
        It is none, or its header does not fit.
    """
    lines = io.StringIO(text.removeprefix("\ufeff"), newline="")
    header = text.removeprefix("\ufeff").partition("\n")[0]
    reader = csv.reader(lines, delimiter=max(PARTED_BY, key=header.count), strict=True)
    try:
        names = [name.strip().lower() for name in next(reader, [])]
        check_columns(names)
        return Carried(tuple(_rows(reader, names)))
    except (csv.Error, RequestError) as error:
        raise OutputError(f"{source}: {error}") from None


def _rows(reader: Iterator[list[str]], names: Sequence[str]) -> Iterator[Record]:
    for number, values in enumerate(reader, 2):
        if not any(values):
            continue
        if len(values) != len(names):
            raise RequestError(f"row {number} has {len(values)} fields, not {len(names)}")
        yield Record(number, tuple(zip(names, values, strict=True)))


def from_json(text: str, source: str) -> Carried:
    """Read the text of `to_json`.

    Raises
    ------
    OutputError
        It is none.
    """
    try:
        values = json.loads(text)
        records = [
            Record(number, tuple(fields.items()))
            for number, fields in enumerate(values["entries"], 1)
        ]
        return Carried(tuple(records), tuple(map(_tune, values.get("tunes", []))))
    except json.JSONDecodeError as error:
        raise OutputError(f"{source}: line {error.lineno}: this is no JSON: {error.msg}") from None
    except (KeyError, TypeError, ValueError, AttributeError, RecursionError):
        raise OutputError(f"{source}: this JSON is no log: it has no list of entries") from None


def _tune(values: dict[str, Any]) -> Tune:
    words = (values["id"], values["title"], *values["contents"])
    if not all(isinstance(word, str) and word for word in words):
        raise TypeError
    return Tune(values["id"], values["title"], tuple(values["contents"]))
