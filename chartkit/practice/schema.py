"""Versions of the log's tables, and the way from each to the next.

The version stands in the file itself (``PRAGMA user_version``); each file ``schema-N.sql`` leads
from version N - 1 to N. All missing steps are one transaction: a log is at one version or another,
never between.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from importlib import resources
from typing import Final

VERSION: Final = 3
"""The latest."""

MAKER: Final = 0x63686B74
"""``PRAGMA application_id`` of a log: the letters chkt."""


def version(connection: sqlite3.Connection) -> int:
    """Return a log's version; 0 where it has no tables yet."""
    (number,) = connection.execute("PRAGMA user_version").fetchone()
    return int(number)


def is_ours(connection: sqlite3.Connection) -> bool:
    """Tell whether a database is a log or is empty, and not some other program's."""
    (maker,) = connection.execute("PRAGMA application_id").fetchone()
    tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
    return maker == MAKER or "entry" in tables or not (maker or tables)


def migrate(connection: sqlite3.Connection, to: int = VERSION) -> None:
    """Bring a log to a version, in one transaction.

    Parameters
    ----------
    connection : sqlite3.Connection
        Without a transaction of its own under way.
    to : int
        At least the log's own version.
    """
    connection.execute("BEGIN EXCLUSIVE")
    try:
        for number in range(version(connection) + 1, to + 1):
            for statement in statements(number):
                connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {MAKER}")
        connection.execute(f"PRAGMA user_version = {to}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def statements(number: int) -> Iterator[str]:
    """Yield the statements that lead to a version from the one before it."""
    text = resources.files("chartkit.practice").joinpath(f"schema-{number}.sql").read_text("utf-8")
    statement = ""
    for line in text.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""
