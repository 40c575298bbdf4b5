"""Opening the log's file: making it, checking it, bringing it up to date, rescuing it."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from chartkit.errors import OutputError
from chartkit.practice import schema
from chartkit.practice.connecting import DAMAGE, PATIENCE, Understood, code, connect
from chartkit.practice.rescue import free_name, locked, rescue, settle

__all__ = ["FILE", "PATIENCE", "Opened", "opened", "repaired", "transaction"]

FILE: Final = "log.sqlite"


@dataclass(frozen=True, slots=True)
class Opened:
    """An open log: its connection, its file, which file that was, and what the player should hear.

    Parameters
    ----------
    connection : sqlite3.Connection
    path : Path
    node : tuple of int
        Device and number of the file as the disk knows it.
    news : tuple of str
        Sentences.
    """

    connection: sqlite3.Connection
    path: Path
    node: tuple[int, int]
    news: tuple[str, ...] = ()


class _Damaged(Exception):  # noqa: N818 (what it is, not what went wrong here)
    """The file is no whole log."""


def opened(folder: Path) -> Opened:
    """Open the log of a folder; see `chartkit.practice.log.open_log`."""
    path = folder / FILE
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with Understood(path):
            try:
                return _whole(path)
            except _Damaged:
                return _rescued(path)
    except (FileExistsError, NotADirectoryError) as error:
        raise OutputError(
            f"cannot use the log {path}, for a file is in its way: move that away, or let "
            "CHARTKIT_HOME name another folder"
        ) from error
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise OutputError(f"cannot use the log {path}: {reason}") from error


def repaired(folder: Path) -> Opened:
    """Rescue a log that was opened as whole, though an entry of it is damaged; then open it."""
    path = folder / FILE
    with Understood(path), locked(folder):
        news = str(rescue(path))
        one = _whole(path)
        return Opened(one.connection, path, one.node, (news, *one.news))


@contextmanager
def transaction(opened: Opened) -> Iterator[None]:
    """Make a block one transaction on the file that was opened."""
    connection = opened.connection
    connection.execute("BEGIN IMMEDIATE")
    try:
        _check_same_file(opened)
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _check_same_file(opened: Opened) -> None:
    if _node(opened.path) != opened.node:
        raise OutputError(f"the log {opened.path} was replaced meanwhile: run it again")


def _rescued(path: Path) -> Opened:
    """Rescue a damaged log, unless another process just did."""
    with locked(path.parent):
        news: tuple[str, ...] = ()
        try:
            one = _whole(path)
        except _Damaged:
            news = (str(rescue(path)),)
            one = _whole(path)
        return Opened(one.connection, path, one.node, (*news, *one.news))


def _whole(path: Path) -> Opened:
    """Open a log that is whole, up to date.

    Raises
    ------
    _Damaged
        It is not whole.
    OutputError, sqlite3.Error, OSError
        It cannot be used.
    """
    connection = _connection(path)
    try:
        news = _checked(connection, path)
        return Opened(connection, path, _node(path), news)
    except sqlite3.Error as error:
        connection.close()
        if code(error) in DAMAGE:
            raise _Damaged from error
        raise
    except BaseException:
        connection.close()
        raise


def _connection(path: Path) -> sqlite3.Connection:
    try:
        return connect(path)
    except sqlite3.Error as error:
        if code(error) in DAMAGE:
            raise _Damaged from error
        raise


def _checked(connection: sqlite3.Connection, path: Path) -> tuple[str, ...]:
    """Check a log and bring it up to date; return what the player should hear."""
    (found,) = connection.execute("PRAGMA integrity_check(1)").fetchone()
    if found != "ok":
        raise _Damaged
    if not schema.is_ours(connection):
        raise OutputError(f"{path} is no log of chartkit: move it away, and a new one is made")
    version = schema.version(connection)
    if version > schema.VERSION:
        raise OutputError(
            f"the log {path} was written by a later chartkit: bring this one up to date "
            f"(its tables are version {version}, those known here {schema.VERSION})"
        )
    return () if version == schema.VERSION else _migrated(connection, path, version)


def _migrated(connection: sqlite3.Connection, path: Path, version: int) -> tuple[str, ...]:
    """Bring a log to the present version; keep a backup of one that has been used."""
    if version == 0:
        _migrate(connection)
        return ()
    kept = backup(connection, path, f"before-version-{schema.VERSION}")
    _migrate(connection)
    return (f"the log was brought up to date; as it was before, it is kept as {kept}",)


def _migrate(connection: sqlite3.Connection) -> None:
    try:
        schema.migrate(connection)
    except sqlite3.OperationalError as error:
        # Tables that are not those of the version that the file names.
        if code(error) == sqlite3.SQLITE_ERROR:
            raise _Damaged from error
        raise


def backup(connection: sqlite3.Connection, path: Path, why: str) -> Path:
    """Copy an open log beside itself under a dated name, as one moment had it.

    The library does it: to open the file a second time would drop the locks of the first.
    """
    kept = free_name(path, why)
    new = kept.with_name(f"{kept.name}-{os.getpid()}")
    try:
        with closing(sqlite3.connect(new)) as target:
            connection.backup(target)
        settle(new)
        new.replace(kept)
    finally:
        new.unlink(missing_ok=True)
    return kept


def _node(path: Path) -> tuple[int, int]:
    with suppress(OSError):
        status = path.stat()
        return status.st_dev, status.st_ino
    return (0, 0)
