"""Going through today's items at the terminal: one key each, and each is written at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction
from typing import Final

import click

from chartkit.cli.log_items import Said, of_items, open_items, plain, record, words
from chartkit.cli.values import read_tempo
from chartkit.practice.entry import Result
from chartkit.practice.item import Item
from chartkit.practice.log import Log

RESULTS: Final[dict[str, Result]] = {"c": "clean", "n": "not yet", "d": "done"}
ANOTHER_TEMPO: Final = "t"
NOTE: Final = "w"
LEAVE: Final = "l"
STOP: Final = frozenset("q\x04\x1b")
"""Also the end of the input, and the escape key."""

KEYS: Final = "c clean, n not yet, d done; t other tempo, w a few words; l leave it, q stop"


def ask(log: Log, player: str, day: date, items: Sequence[Item]) -> int:
    """Ask about every item that has no entry yet; return how many were noted."""
    noted = 0
    still_open = open_items(log, player, day, items)
    click.echo(f"{len(still_open)} of {len(items)} items of {day} to note.  {KEYS}", err=True)
    for number in still_open:
        item = items[number - 1]
        click.echo(f"{number}  {words(item)} ", err=True, nl=False)
        said = _answer(item)
        if said is None:
            break
        if isinstance(said, Said):
            record(log, of_items([item], said, player, day))
            noted += 1
    return noted


def _answer(item: Item) -> Said | str | None:
    """Return what the player says of an item, `LEAVE` for nothing, None for no more."""
    said = Said()
    while True:
        key = _key()
        if key in STOP:
            click.echo(err=True)
            return None
        if key == LEAVE:
            click.echo(" left", err=True)
            return LEAVE
        if key in RESULTS:
            said = replace(said, result=RESULTS[key])
            click.echo(f" {said.result} at {plain(said.tempo or item.tempo)}", err=True)
            return said
        if key == ANOTHER_TEMPO:
            said = replace(said, tempo=click.prompt(" tempo", value_proc=_tempo, err=True))
        elif key == NOTE:
            said = replace(said, note=click.prompt(" words", err=True).strip())
        else:
            click.echo(f" {KEYS} ", err=True, nl=False)


def _key() -> str:
    try:
        return click.getchar().lower()
    except EOFError:
        return "q"


def _tempo(text: str) -> Fraction:
    try:
        return read_tempo(text.strip())
    except ValueError as error:
        raise click.UsageError(str(error)) from None
