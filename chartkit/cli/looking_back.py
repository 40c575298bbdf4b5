"""`chartkit progress`: what the practice of some weeks adds up to."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from chartkit.cli import options
from chartkit.cli.groups import GroupedCommand, examples
from chartkit.cli.log_open import DAY, PLAYER, opened, tell_players
from chartkit.cli.values import PAGES
from chartkit.errors import RequestError

if TYPE_CHECKING:
    from chartkit.practice.log import Log
    from chartkit.practice.looking import Report

TABLES: Final = (".csv", ".json", ".txt")

USUAL: Final = timedelta(weeks=13)
"""How far back it looks if nothing is said."""


@click.command(
    "progress",
    cls=GroupedCommand,
    epilog=examples(
        "chartkit progress --since 2026-01-01",
        "chartkit progress --player Ada -o lesson.pdf",
        "chartkit progress --tune my-tune.chart -o my-tune.png",
    ),
)
@click.option("--tune", metavar="TUNE", help="One tune alone: its file or its title.")
@click.option("--since", type=DAY, help="From this day on; 13 weeks back if not said.")
@click.option("--until", type=DAY, help="Up to this day; today if not said.")
@PLAYER
@click.option("--json", "as_json", is_flag=True, help="Print one object for other programs.")
@options.PAPER
@options.writing((*PAGES, *TABLES))
def command(
    *,
    tune: str | None,
    since: date | None,
    until: date | None,
    player: str,
    as_json: bool,
    paper: str,
    path: Path | None,
    force: bool,
) -> None:
    """Look back: minutes and clean runs, tempos, keys and positions, and what is due.

    Prints it in the terminal, or writes one page for a lesson (PDF, SVG, PNG), or tables and text
    (CSV, JSON, TXT).
    """
    last = until or date.today()  # noqa: DTZ011 (the player's own day)
    first = since or last - USUAL + timedelta(days=1)
    if first > last:
        raise RequestError(f"{first} is later than {last}: the first day comes first")
    with opened() as log:
        tell_players(log, player)
        found = _report(log, player, first, last, tune)
    if not found.days:
        click.echo("nothing is noted in this time", err=True)
    if path is None:
        from chartkit.cli.progress_data import as_json as write_json
        from chartkit.cli.progress_text import as_text

        click.echo(write_json(found) if as_json else as_text(found), nl=False)
        return
    _write(found, path, paper, force=force)


def _report(log: Log, player: str, since: date, until: date, tune: str | None) -> Report:
    """Return the report of a time; what is due is due today, whatever the time looked at."""
    from chartkit.cli.log_open import tune_named
    from chartkit.cli.progress_tunes import due, facts_of, goals_of, seen
    from chartkit.practice.looking import report, tries_of

    one = None if tune is None else tune_named(log, tune)
    tunes = log.tunes(player)
    facts, goals = facts_of(tunes), goals_of(log, player)
    entries = log.entries(player)
    ahead = due(log, player, facts, goals, tries_of(entries))
    known = seen(tunes, facts, goals)
    if one is not None and one not in known:
        raise RequestError(f"nothing of {tune} is noted yet")
    return report(player, entries, since, until, tunes=known, tune=one, ahead=ahead)


def _write(found: Report, path: Path, paper: str, *, force: bool) -> None:
    from chartkit.cli.naming import destination
    from chartkit.cli.progress_data import as_csv, as_json
    from chartkit.cli.progress_text import CAUTION, as_text
    from chartkit.output.engrave import ProgressPage
    from chartkit.output.files import write_bytes

    to = destination(path, path.name, force=force)
    write = {".csv": as_csv, ".json": as_json, ".txt": as_text}.get(to.suffix.lower())
    if write:
        write_bytes(to, write(found).encode())
        click.echo(to)
    else:
        options.print_sheet(ProgressPage(found, CAUTION), to, paper)
