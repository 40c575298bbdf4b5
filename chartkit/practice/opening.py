"""Opening the log's file: making it, checking it, and telling in one sentence what is wrong."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Final

from chartkit.errors import OutputError
from chartkit.practice import schema

FILE: Final = "log.sqlite"

PATIENCE: Final = 15.0
"""Seconds that one process waits for another to finish writing."""


@dataclass(frozen=True, slots=True)
class Opened:
    """An open log: its connection, its file, and what the player should hear about it."""

    connection: sqlite3.Connection
    path: Path
    news: tuple[str, ...] = ()


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
        if isinstance(error, sqlite3.DatabaseError):
            raise OutputError(f"cannot use the log {self.path}: {error}") from error


def opened(folder: Path) -> Opened:
    """Open the log of a folder; see `chartkit.practice.log.open_log`."""
    path = folder / FILE
    folder.mkdir(parents=True, exist_ok=True)
    with Understood(path):
        connection = connect(path)
        if schema.version(connection) < schema.VERSION:
            schema.migrate(connection)
        return Opened(connection, path)


def connect(path: Path) -> sqlite3.Connection:
    """Connect to a log's file: nothing is committed that is not on the disk."""
    connection = sqlite3.connect(path, timeout=PATIENCE, isolation_level=None)
    connection.execute("PRAGMA journal_mode = DELETE")
    connection.execute("PRAGMA synchronous = EXTRA")
    connection.execute("PRAGMA secure_delete = ON")
    return connection


@contextmanager
def transaction(opened: Opened) -> Iterator[None]:
    """Make a block one transaction."""
    connection = opened.connection
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
