"""The log as commands open it: its news are told, its player and days are read."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from chartkit.cli.values import Typed
from chartkit.errors import ChartkitError, RequestError
from chartkit.home import home
from chartkit.practice.entry import ME, check_name

if TYPE_CHECKING:
    from chartkit.practice.log import Log


def read_player(text: str) -> str:
    """Read a player's name."""
    check_name("player", text)
    return text


def read_day(text: str) -> date:
    """Read ``2026-03-01``."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ValueError(f"`{text}` is not a day; write one like 2026-03-01") from None


PLAYER_TYPE: Final = Typed("name", read_player)
DAY: Final = Typed("day", read_day)

PLAYER: Final = click.option(
    "--player",
    type=PLAYER_TYPE,
    default=ME,
    help="Whose log; a teacher keeps several players apart.",
)


@contextmanager
def opened(*, rescue: bool = False) -> Iterator[Log]:
    """Open the log in the player's folder, and tell on standard error what there is to tell."""
    from chartkit.practice.log import open_log

    with open_log(home(), rescue=rescue) as log:
        for sentence in log.news:
            click.echo(f"chartkit: {sentence}", err=True)
        yield log


def tell_players(log: Log, player: str) -> None:
    """Tell on standard error whom the log knows, where it does not know the one named."""
    known = log.players()
    if known and player not in known:
        click.echo(f"the log knows no {player}; it knows {', '.join(known)}", err=True)


def tune_named(log: Log, name: str) -> str:
    """Return the id of the tune that a player means.

    Parameters
    ----------
    log : Log
    name : str
        An id, a title or a lost file that the log knows, else a chart file or a demo tune.

    Raises
    ------
    ChartkitError
        There is no such tune or file, or the file holds faults.
    """
    from chartkit.cli.loading import load, text_of
    from chartkit.cli.named import STDIN
    from chartkit.make_today.facts import content_hash
    from chartkit.practice.knowing import name_of

    known = log.tunes()
    if not Path(name).is_file():
        lost = str(Path(name).resolve())
        for tune in known:
            if name == tune.id or lost in tune.paths or name_of(name) == name_of(tune.title):
                return tune.id
    try:
        path = None if name == STDIN else str(Path(text_of(name)[1]).resolve())
        chart = load(name).chart
    except ChartkitError as error:
        if Path(name).is_file() or not known:
            raise
        titles = ", ".join(tune.title for tune in known)
        raise RequestError(f"{error}; the tunes in the log are {titles}") from error
    return log.tune_id(content_hash(chart), path, chart.title)
