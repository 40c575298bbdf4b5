"""The log written to a file and read from one."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import click

from chartkit.cli.values import output
from chartkit.errors import OutputError
from chartkit.practice.log import Log

ENDINGS: Final = (".csv", ".json")
FILE: Final = output(ENDINGS)


def export(log: Log, player: str, path: Path, *, force: bool) -> None:
    """Write a player's entries, and print the file's name."""
    from chartkit.cli.naming import destination
    from chartkit.output.files import write_bytes
    from chartkit.practice.exchange import to_csv, to_json

    entries = log.entries(player)
    json = path.suffix.lower() == ".json"
    text = to_json(entries, log.tunes(player)) if json else to_csv(entries)
    write_bytes(destination(path, path.name, force=force), text.encode())
    click.echo(path)


def read_in(log: Log, player: str, path: Path) -> None:
    """Read entries from a file; all of them or, where one is at fault, none."""
    from chartkit.practice.exchange import from_csv, from_json
    from chartkit.practice.fields import entries_of

    read = from_json if path.suffix.lower() == ".json" else from_csv
    carried = read(_text(path), str(path))
    entries_of(carried.records, str(path), player)
    renamed = {tune.id: log.know(tune) for tune in carried.tunes}
    entries = entries_of(carried.records, str(path), player, renamed)
    new = log.record(entries)
    click.echo(f"{new} new entries; {len(entries) - new} were there already")


def _text(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8")
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise OutputError(f"cannot read {path}: {reason}") from error
    except UnicodeDecodeError as error:
        raise OutputError(f"cannot read {path}: it is not UTF-8 text") from error
