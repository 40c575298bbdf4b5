"""The log: what each player practised, kept so that nothing acknowledged is ever lost.

::

    with open_log(home()) as log:
        log.news                                    # sentences to show the player, mostly none
        log.record([entry, ...])                    # on the disk when it returns
        log.entries(player, since=None, until=None) # in the order of their moments
        log.undo(player)                            # the entries of the last step, now gone

        log.tune_id(content_hash, path, title)      # same content or same path: same tune
        log.tune(id), log.tunes(player)             # Tune(id, title, contents, paths)
        log.know(tune)                              # one of another log; its id here
        log.start(player, id, day), log.rest(...), log.finish(...)
        log.under_way(player), log.finished(player) # ids, the longest there first

        log.keep_plan(player, day, text), log.plan(player, day), log.plans(player)
        log.settings(player), log.set(player, name, value)
        log.players()

One SQLite file, ``log.sqlite``, in the player's folder, with a rollback journal and the strictest
synchronisation. A write-ahead log would be faster, but it keeps the newest entries in a second
file, and a player who copies ``log.sqlite`` alone would leave them behind; at some ten entries a
day its speed buys nothing. Reads are one statement each, writes one transaction each.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Literal, Self

from chartkit.practice import knowing, opening, stored
from chartkit.practice.connecting import Understood, damaged_row
from chartkit.practice.entry import Entry, check_name
from chartkit.practice.knowing import Tune
from chartkit.practice.opening import FILE

__all__ = ["FILE", "Learning", "Log", "State", "Tune", "open_log"]

State = Literal["under way", "finished", "resting"]
"""Of a tune that a player has taken up: learnt now, come through, or set aside."""

_COLUMNS: Final = ", ".join(stored.FIELDS)
_PLACES: Final = ", ".join(f":{name}" for name in stored.FIELDS)
_INSERT: Final = (
    f"INSERT INTO entry (mark, batch, {_COLUMNS}) VALUES (:mark, :batch, {_PLACES}) "  # noqa: S608
    "ON CONFLICT (mark) DO NOTHING"
)
_SELECT: Final = f"SELECT {_COLUMNS}, mark FROM entry"  # noqa: S608


@dataclass(frozen=True, slots=True)
class Learning:
    """A tune that a player has taken up, its state, and the day since when."""

    tune: str
    state: State
    since: date


class Log:
    """An open log; made by `open_log`, closed at the end of its ``with`` block.

    Attributes
    ----------
    news : tuple of str
        What the player should hear about the opening: a migration, a damaged file and what became
        of it. Sentences; mostly none.
    """

    def __init__(self, opened: opening.Opened) -> None:
        self._opened = opened
        self._connection = opened.connection
        self.news = opened.news

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._connection.close()

    # Entries

    def record(self, entries: Sequence[Entry]) -> int:
        """Write entries in one step; they are on the disk when this returns.

        Returns
        -------
        int
            How many were new; an entry that is there already is left alone.

        Raises
        ------
        OutputError
            They cannot be written; then none is.
        """
        with self._writing() as connection:
            (last,) = connection.execute("SELECT ifnull(max(batch), 0) FROM entry").fetchone()
            before = connection.total_changes
            for entry in entries:
                row = stored.to_row(entry)
                connection.execute(_INSERT, {**row, "mark": stored.mark(row), "batch": last + 1})
            return connection.total_changes - before

    def entries(
        self, player: str, since: date | None = None, until: date | None = None
    ) -> tuple[Entry, ...]:
        """Return a player's entries of the days from `since` to `until`, both included.

        They stand in the order of their moments, those of one moment as they were recorded.
        """
        rows = self._read(
            f"{_SELECT} WHERE player = ? AND day >= ? AND day <= ? ORDER BY at, number",
            (player, (since or date.min).isoformat(), (until or date.max).isoformat()),
        )
        return tuple(map(self._entry, rows))

    def undo(self, player: str) -> tuple[Entry, ...]:
        """Take back what `record` wrote last for a player; return it, nothing where there is none.

        Raises
        ------
        OutputError
            The log cannot be written.
        """
        newest = "SELECT max(batch) FROM entry WHERE player = ?"
        with self._writing() as connection:
            where = f"WHERE player = ? AND batch = ({newest})"
            rows = connection.execute(
                f"{_SELECT} {where} ORDER BY number", (player, player)
            ).fetchall()
            connection.execute(f"DELETE FROM entry {where}", (player, player))  # noqa: S608
        return tuple(map(self._entry, rows))

    def players(self) -> tuple[str, ...]:
        """Return everyone whom the log knows, in order of name."""
        rows = self._read(
            "SELECT player FROM entry UNION SELECT player FROM learning "
            "UNION SELECT player FROM setting UNION SELECT player FROM plan ORDER BY player"
        )
        return tuple(player for (player,) in rows)

    # Tunes

    def tune_id(self, content_hash: str, path: str | None, title: str) -> str:
        """Return the id of a tune, and remember its content and its file.

        Parameters
        ----------
        content_hash : str
            Of its tidy text or its music; any text that is the same for the same content.
        path : str or None
            Whole path of its file, or another lasting name of where it lies; None for a pipe.
        title : str

        See Also
        --------
        chartkit.practice.knowing : the rules by which a tune is known again.
        """
        with self._writing() as connection:
            return knowing.tune_id(connection, content_hash, path, title)

    def tune(self, tune: str) -> Tune | None:
        """Return what is known of a tune."""
        with self._understood():
            return knowing.tune(self._connection, tune)

    def tunes(self, player: str | None = None) -> tuple[Tune, ...]:
        """Return the tunes that a player has taken up or has entries of; of all for None."""
        ids = self._read(
            "SELECT id FROM tune WHERE :player IS NULL "
            "OR id IN (SELECT tune FROM learning WHERE player = :player) "
            "OR id IN (SELECT tune FROM entry WHERE player = :player) ORDER BY rowid",
            {"player": player},
        )
        with self._understood():
            found = (knowing.tune(self._connection, tune) for (tune,) in ids)
            return tuple(one for one in found if one is not None)

    def know(self, tune: Tune) -> str:
        """Make a tune of another log known here; return the id that it has here."""
        with self._writing() as connection:
            return knowing.know(connection, tune)

    def start(self, player: str, tune: str, day: date) -> None:
        """Take up a tune, or take it up again; nothing changes if it is under way."""
        self._learn(player, tune, "under way", day)

    def finish(self, player: str, tune: str, day: date) -> None:
        """Note that a player has come through a tune."""
        self._learn(player, tune, "finished", day)

    def rest(self, player: str, tune: str, day: date) -> None:
        """Set a tune aside."""
        self._learn(player, tune, "resting", day)

    def under_way(self, player: str) -> tuple[str, ...]:
        """Return the ids of the tunes under way, the one taken up first in front."""
        return tuple(one.tune for one in self.learning(player) if one.state == "under way")

    def finished(self, player: str) -> tuple[str, ...]:
        """Return the ids of the tunes that a player has come through, the first in front."""
        return tuple(one.tune for one in self.learning(player) if one.state == "finished")

    def learning(self, player: str) -> tuple[Learning, ...]:
        """Return every tune that a player has taken up, in the order of their states' days."""
        rows = self._read(
            "SELECT tune, state, day FROM learning WHERE player = ? ORDER BY number", (player,)
        )
        return tuple(Learning(tune, state, self._day(day)) for tune, state, day in rows)

    def _learn(self, player: str, tune: str, state: State, day: date) -> None:
        check_name("player", player)
        with self._writing() as connection:
            connection.execute(
                "INSERT INTO learning VALUES (?, ?, ?, ?, "
                "(SELECT ifnull(max(number), 0) + 1 FROM learning)) "
                "ON CONFLICT (player, tune) DO UPDATE SET "
                "state = excluded.state, day = excluded.day, number = excluded.number "
                "WHERE state != excluded.state",
                (player, tune, state, day.isoformat()),
            )

    # Plans and settings

    def keep_plan(self, player: str, day: date, text: str) -> None:
        """Keep the plan of a day, in place of an earlier one."""
        check_name("player", player)
        with self._writing() as connection:
            connection.execute(
                "INSERT INTO plan VALUES (?, ?, ?) "
                "ON CONFLICT (player, day) DO UPDATE SET text = excluded.text",
                (player, day.isoformat(), text),
            )

    def plan(self, player: str, day: date) -> str | None:
        """Return the plan that was kept for a day."""
        rows = self._read(
            "SELECT text FROM plan WHERE player = ? AND day = ?", (player, day.isoformat())
        )
        return rows[0][0] if rows else None

    def plans(self, player: str, since: date | None = None) -> tuple[tuple[date, str], ...]:
        """Return the plans kept from a day on, in order of days."""
        rows = self._read(
            "SELECT day, text FROM plan WHERE player = ? AND day >= ? ORDER BY day",
            (player, (since or date.min).isoformat()),
        )
        return tuple((self._day(day), text) for day, text in rows)

    def settings(self, player: str) -> dict[str, str]:
        """Return a player's settings by name."""
        rows = self._read(
            "SELECT name, value FROM setting WHERE player = ? ORDER BY name", (player,)
        )
        return dict(rows)

    def set(self, player: str, name: str, value: str | None) -> None:
        """Change a setting; None takes it away."""
        check_name("player", player)
        with self._writing() as connection:
            connection.execute("DELETE FROM setting WHERE player = ? AND name = ?", (player, name))
            if value is not None:
                connection.execute("INSERT INTO setting VALUES (?, ?, ?)", (player, name, value))

    # The file

    def _entry(self, values: tuple[Any, ...]) -> Entry:
        """Return the entry of a row whose mark says that it is what was written."""
        *said, mark = values
        row = dict(zip(stored.FIELDS, said, strict=True))
        if stored.mark(row) != mark:
            raise damaged_row(self._opened.path)
        return stored.from_row(row)

    def _day(self, text: str) -> date:
        try:
            return date.fromisoformat(text)
        except ValueError as error:
            raise damaged_row(self._opened.path) from error

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """Give the connection inside one transaction: all of it is on the disk, or none."""
        with self._understood(), opening.transaction(self._opened):
            yield self._connection

    def _read(
        self, query: str, values: Sequence[object] | dict[str, object] = ()
    ) -> list[tuple[Any, ...]]:
        with self._understood():
            return self._connection.execute(query, values).fetchall()

    def _understood(self) -> Understood:
        return Understood(self._opened.path)


def open_log(folder: Path, *, rescue: bool = False) -> Log:
    """Open the log of a folder, making both where there are none.

    A log of an earlier version is brought to the present one, after a backup. A damaged one is set
    aside under a dated name, and what can be read of it goes into a new one; `Log.news` tells.
    Where the file cannot be written, it is opened for reading.

    Parameters
    ----------
    folder : Path
    rescue : bool
        Set the file aside and make a new one of what is whole, even where it opens.

    Raises
    ------
    OutputError
        It cannot be opened: no right to, no room, another program's file, or a later version.
    """
    return Log(opening.repaired(folder) if rescue else opening.opened(folder))
