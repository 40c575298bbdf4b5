"""How a tune is known again when its file is renamed, moved, edited or copied.

The rules, in order:

1. A content seen before is that tune, wherever it lies now: a file renamed, moved or copied keeps
   its history.
2. A file seen before is that tune, whatever it holds now: an edited file keeps its history. One
   exception: it was a copy of a file that is still there, and now bears another title; then it
   has become a tune of its own.
3. A title seen before is that tune if none of the tune's files is there any more: renamed and
   edited between two looks, or carried to another machine.
4. Anything else is new.

An id is the title in small letters, with a number where two tunes share it, and never changes.
"""

from __future__ import annotations

import re
import sqlite3
import unicodedata
from dataclasses import dataclass
from itertools import count
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Tune:
    """A tune that the log knows.

    Parameters
    ----------
    id : str
    title : str
        As it was last.
    contents : tuple of str
        Hashes of what it has held, the latest first; none where only its name is known.
    paths : tuple of str
        Where it was seen, the latest place first.
    """

    id: str
    title: str
    contents: tuple[str, ...] = ()
    paths: tuple[str, ...] = ()

    @property
    def content_hash(self) -> str:
        """The latest, or empty."""
        return self.contents[0] if self.contents else ""


def tune_id(connection: sqlite3.Connection, content_hash: str, path: str | None, title: str) -> str:
    """Find a tune or add it, and remember its content, file and title.

    Parameters
    ----------
    connection : sqlite3.Connection
        Inside a transaction.
    content_hash : str
    path : str or None
    title : str
    """
    title = _writable(title)
    path = None if path is None else _writable(path)
    found = (
        _by_content(connection, content_hash)
        or _by_path(connection, path, title)
        or _by_title(connection, title)
    )
    tune = found or _new_id(connection, title)
    connection.execute(
        "INSERT INTO tune VALUES (?, ?) ON CONFLICT (id) DO UPDATE SET title = excluded.title",
        (tune, title),
    )
    _remember(connection, "content", "hash", content_hash, tune)
    if path is not None:
        _remember(connection, "file", "path", path, tune)
    return tune


def tune(connection: sqlite3.Connection, tune: str) -> Tune | None:
    """Return what is known of a tune."""
    row = connection.execute("SELECT title FROM tune WHERE id = ?", (tune,)).fetchone()
    if row is None:
        return None
    hashes = connection.execute(
        "SELECT hash FROM content WHERE tune = ? ORDER BY number DESC", (tune,)
    )
    return Tune(tune, row[0], tuple(one for (one,) in hashes), _paths(connection, tune))


def know(connection: sqlite3.Connection, tune: Tune) -> str:
    """Find a tune of another log by its contents, or by its id; add it; return its id here.

    Its contents become this log's too, behind those that are known.
    """
    found = next(filter(None, (_by_content(connection, one) for one in tune.contents)), tune.id)
    connection.execute(
        "INSERT INTO tune VALUES (?, ?) ON CONFLICT (id) DO NOTHING", (found, tune.title)
    )
    for content in reversed(tune.contents):
        connection.execute(
            "INSERT INTO content VALUES ((SELECT ifnull(max(number), 0) + 1 FROM content), ?, ?) "
            "ON CONFLICT (hash) DO NOTHING",
            (content, found),
        )
    return found


def name_of(title: str) -> str:
    """Return a title as ids are written: small letters, figures and hyphens.

    >>> name_of("Étude No. 3, in C♯")
    'etude-no-3-in-c'
    """
    plain = unicodedata.normalize("NFKD", title).casefold()
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    return re.sub(r"[\W_]+", "-", plain)[:80].strip("-") or "tune"


def _writable(text: str) -> str:
    """Return a text that UTF-8 can hold, as some file names are not."""
    return text.encode("utf-8", "backslashreplace").decode()


def _by_content(connection: sqlite3.Connection, content_hash: str) -> str | None:
    row = connection.execute("SELECT tune FROM content WHERE hash = ?", (content_hash,)).fetchone()
    return row[0] if row else None


def _by_path(connection: sqlite3.Connection, path: str | None, title: str) -> str | None:
    row = connection.execute(
        "SELECT tune, title FROM file JOIN tune ON id = tune WHERE path = ?", (path,)
    ).fetchone()
    if row is None:
        return None
    found, known_as = row
    others = (other for other in _paths(connection, found) if other != path)
    became_its_own = name_of(title) != name_of(known_as) and any(map(_is_there, others))
    return None if became_its_own else found


def _by_title(connection: sqlite3.Connection, title: str) -> str | None:
    rows = connection.execute("SELECT id, title FROM tune ORDER BY rowid DESC").fetchall()
    for found, known_as in rows:
        same = name_of(title) == name_of(known_as)
        if same and not any(map(_is_there, _paths(connection, found))):
            return str(found)
    return None


def _new_id(connection: sqlite3.Connection, title: str) -> str:
    taken = {
        row[0]
        for row in connection.execute(
            "SELECT id FROM tune UNION SELECT tune FROM entry UNION SELECT tune FROM learning"
        )
    }
    name = name_of(title)
    tries = (name if n == 1 else f"{name}-{n}" for n in count(1))
    return next(one for one in tries if one not in taken)


def _remember(
    connection: sqlite3.Connection, table: str, column: str, value: str, tune: str
) -> None:
    """Note that a content or a file belongs to a tune, as the latest one seen."""
    connection.execute(
        f"INSERT INTO {table} VALUES ((SELECT ifnull(max(number), 0) + 1 FROM {table}), ?, ?) "  # noqa: S608
        f"ON CONFLICT ({column}) DO UPDATE SET tune = excluded.tune, number = excluded.number",
        (value, tune),
    )


def _paths(connection: sqlite3.Connection, tune: str) -> tuple[str, ...]:
    rows = connection.execute("SELECT path FROM file WHERE tune = ? ORDER BY number DESC", (tune,))
    return tuple(path for (path,) in rows)


def _is_there(path: str) -> bool:
    try:
        return Path(path).exists()
    except (OSError, ValueError):
        return False
