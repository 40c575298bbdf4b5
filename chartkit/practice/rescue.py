"""A damaged log: the file is kept under a dated name, and what can be read goes into a new one.

The order is chosen so that it can stop at any moment: the copy is on the disk before the new log
takes the file's place, and until then the damaged file is where it was, to be found again.
"""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import date
from itertools import count
from pathlib import Path
from typing import Final

from chartkit.practice import salvage, schema, stored
from chartkit.practice.connecting import PATIENCE, connect
from chartkit.practice.salvage import Row

LOCK: Final = "log.lock"

STATES: Final = ("under way", "finished", "resting")

_ENTRY: Final = (
    *("number", "mark", "player", "day", "at", "activity", "tune", "part", "kind", "key"),
    *("position", "tempo", "result", "seconds", "note"),
    *("family", "item"),
    "batch",
)
"""Columns of an entry in the order in which they came to be."""

_HASH: Final = re.compile(r"[0-9a-f]{16,128}\Z")


@dataclass(frozen=True, slots=True)
class Rescued:
    """What became of a damaged log: the file that was kept, and how many entries were read."""

    kept: Path
    entries: int

    def __str__(self) -> str:
        entries = "1 entry" if self.entries == 1 else f"{self.entries} entries"
        return (
            f"the log was damaged: {entries} could be read and now stand in a new log; the damaged "
            f"file is kept as {self.kept}, so look whether your last days, tunes and settings "
            "are there"
        )


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Let one process at a time do the block; the lock of one that dies is free at once."""
    lock = sqlite3.connect(folder / LOCK, timeout=2 * PATIENCE, isolation_level=None)
    with closing(lock):
        lock.execute("BEGIN EXCLUSIVE")
        yield


def rescue(path: Path) -> Rescued:
    """Keep the damaged file of a log and put a new one with its readable rows in its place.

    Parameters
    ----------
    path : Path
        The log's file, closed and `locked`.

    Raises
    ------
    OSError, sqlite3.Error
        There is no room or no right to; the damaged file is where it was.
    """
    data = path.read_bytes()
    kept = keep(path, "damaged")
    journal = path.with_name(f"{path.name}-journal")
    new = path.with_name(f"{path.name}-new")
    new.unlink(missing_ok=True)
    try:
        entries = _filled(new, [row for _, row in salvage.rows(data)])
        if journal.exists():
            # It belongs to the damaged file; beside the new one it would be played into that.
            shutil.copy2(journal, kept.with_name(f"{kept.name}-journal"))
            journal.unlink()
        new.replace(path)
    finally:
        new.unlink(missing_ok=True)
    return Rescued(kept, entries)


def keep(path: Path, why: str) -> Path:
    """Copy a file beside itself under a dated name, and bring the copy to the disk.

    Parameters
    ----------
    path : Path
    why : str
        Stands in the name, such as ``damaged``.
    """
    kept = free_name(path, why)
    shutil.copy2(path, kept)
    settle(kept)
    return kept


def settle(path: Path) -> None:
    """Bring a file to the disk."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def free_name(path: Path, why: str) -> Path:
    """Return a dated name beside a file that nothing bears yet."""
    day = date.today().isoformat()  # noqa: DTZ011 (the player's own day)
    names = (f"{path.stem}-{why}-{day}{f'-{n}' if n > 1 else ''}{path.suffix}" for n in count(1))
    return next(one for one in map(path.with_name, names) if not one.exists())


def _filled(path: Path, rows: Sequence[Row]) -> int:
    """Make a log of the rows that were read; return how many entries it has."""
    with closing(connect(path)) as connection:
        schema.migrate(connection)
        connection.execute("BEGIN")
        for table, fits in _TABLES.items():
            for row in rows:
                if fits(row):
                    places = ", ".join("?" * len(row))
                    connection.execute(f"INSERT OR IGNORE INTO {table} VALUES ({places})", row)  # noqa: S608
        for row in filter(_is_entry, rows):
            _insert_entry(connection, row)
        connection.execute("COMMIT")
        (entries,) = connection.execute("SELECT count(*) FROM entry").fetchone()
        return int(entries)


def _insert_entry(connection: sqlite3.Connection, row: Row) -> None:
    named = dict(zip(_ENTRY, row, strict=False))
    named["item"] = named.get("item") or ""
    named["batch"] = named.get("batch") or named["number"]
    columns, places = ", ".join(named), ", ".join(f":{name}" for name in named)
    connection.execute(f"INSERT OR IGNORE INTO entry ({columns}) VALUES ({places})", named)  # noqa: S608


def _is_entry(row: Row) -> bool:
    """Tell whether a row is an entry, whole to the last letter: its mark says so."""
    if len(row) < len(_ENTRY) - 3 or len(row) > len(_ENTRY):
        return False
    named = dict(zip(_ENTRY, row, strict=False))
    if any(isinstance(value, float | bytes) for value in row):
        return False
    return named["mark"] == stored.mark(named)  # type: ignore[arg-type]


def _texts(row: Row, columns: int) -> bool:
    return len(row) == columns and all(isinstance(value, str) for value in row)


def _is_day(value: object) -> bool:
    try:
        return date.fromisoformat(str(value)).isoformat() == value
    except ValueError:
        return False


def _is_tune(row: Row) -> bool:
    return _texts(row, 2)


def _names_tune(row: Row) -> bool:
    return len(row) == 3 and isinstance(row[0], int) and _texts(row[1:], 2)  # noqa: PLR2004


def _is_content(row: Row) -> bool:
    return _names_tune(row) and bool(_HASH.match(str(row[1])))


def _is_file(row: Row) -> bool:
    return _names_tune(row) and not _HASH.match(str(row[1]))


def _is_learning(row: Row) -> bool:
    *texts, number = row
    known = _texts(tuple(texts), 4) and texts[2] in STATES and _is_day(texts[3])
    return known and isinstance(number, int)


def _is_plan(row: Row) -> bool:
    return _texts(row, 3) and _is_day(row[1])


def _is_setting(row: Row) -> bool:
    return _texts(row, 3) and not _is_day(row[1])


_TABLES: Final[dict[str, Callable[[Row], bool]]] = {
    "tune": _is_tune,
    "content": _is_content,
    "file": _is_file,
    "learning": _is_learning,
    "plan": _is_plan,
    "setting": _is_setting,
}
"""How the rows of each table are told from those of the others."""
