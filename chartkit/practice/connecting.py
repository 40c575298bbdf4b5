"""A connection to the log's file, and what its errors mean in one sentence."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from types import TracebackType
from typing import Final

from chartkit.errors import OutputError

PATIENCE: Final = 15.0
"""Seconds that one process waits for another to finish writing."""

PAGE: Final = 4096
"""Bytes of a page of the file; `chartkit.practice.salvage` counts on it."""

DAMAGE: Final = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB})

_SETTINGS: Final = (
    ("page_size", PAGE),
    ("journal_mode", "DELETE"),
    ("synchronous", "EXTRA"),
    ("secure_delete", "ON"),
)

_ADVICE: Final = {
    sqlite3.SQLITE_FULL: "the disk is full: free some space and run it again",
    sqlite3.SQLITE_IOERR: "the disk is full or fails: free some space and run it again",
    sqlite3.SQLITE_READONLY: "it may only be read: allow writing to the file and its folder",
    sqlite3.SQLITE_CANTOPEN: "permission denied: allow writing to the file and its folder",
    sqlite3.SQLITE_PERM: "permission denied: allow writing to the file and its folder",
    sqlite3.SQLITE_BUSY: "another chartkit has been writing to it for long: run it again",
    sqlite3.SQLITE_CORRUPT: "it is damaged: run it again, and what can be read is rescued",
    sqlite3.SQLITE_NOTADB: "it is damaged: run it again, and what can be read is rescued",
}


def connect(path: Path) -> sqlite3.Connection:
    """Connect to a log's file, so that what is committed is on the disk.

    The journal is one that is rolled back, and it is deleted, with its folder's entry synchronised,
    before a commit returns (``EXTRA``). What is deleted is overwritten, so that no old row turns
    up in a rescue.
    """
    connection = sqlite3.connect(path, timeout=PATIENCE, isolation_level=None)
    try:
        for name, value in _SETTINGS:
            connection.execute(f"PRAGMA {name} = {value}")
    except sqlite3.Error:
        connection.close()
        raise
    return connection


def code(error: sqlite3.Error) -> int:
    """Return the library's primary code of an error; 0 where it has none."""
    return getattr(error, "sqlite_errorcode", 0) & 0xFF


def cannot_use(path: Path, error: sqlite3.Error) -> OutputError:
    """Return the one sentence that tells what is wrong with a log and what to do."""
    if str(error).startswith("Could not decode"):
        return damaged_row(path)
    return OutputError(f"cannot use the log {path}: {_ADVICE.get(code(error), str(error))}")


def damaged_row(path: Path) -> OutputError:
    """Return the sentence about a log that opens, though a row of it is not what was written."""
    return OutputError(
        f"a line of the log {path} is damaged: run `chartkit log --rescue` to set the file aside "
        "and keep all that is whole"
    )


class Understood:
    """A block whose database errors leave it as one sentence about a file."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __enter__(self) -> None:
        return

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if isinstance(error, sqlite3.Error):
            raise cannot_use(self.path, error) from error
