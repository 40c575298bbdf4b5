"""`chartkit phrase tidy`: a phrase in the one tidy spelling."""

from __future__ import annotations

from pathlib import Path

import click

from chartkit.cli.loading import STDIN
from chartkit.errors import ChartFaults, ChartkitError


@click.command("tidy", epilog="Example: chartkit phrase tidy my-phrase.phrase")
@click.argument("names", nargs=-1, required=True, metavar="FILE...")
@click.option("--check", is_flag=True, help="Write nothing; fail if a file is not tidy.")
def command(names: tuple[str, ...], *, check: bool) -> int:
    """Rewrite phrases in the one tidy spelling; comments are kept.

    Standard input (-) is written to standard output.
    """
    failed = False
    for name in names:
        try:
            failed |= _tidy(name, check=check)
        except ChartkitError as error:
            told = str(error) if isinstance(error, ChartFaults) else f"chartkit: {error}"
            click.echo(told, err=True)
            failed = True
    return int(failed)


def _tidy(name: str, *, check: bool) -> bool:
    """Tidy one file; return whether a check found it untidy."""
    from chartkit.output.files import write_bytes
    from chartkit.phrase.reader import parse
    from chartkit.phrase.writer import write
    from chartkit.source import load

    text = load(name, "phrase")
    reading = parse(text, name)
    if reading.phrase is None:
        raise ChartFaults(reading.faults)
    tidy = write(reading.phrase)
    if check:
        if tidy != text:
            click.echo(f"{name} is not tidy; chartkit phrase tidy rewrites it", err=True)
        return tidy != text
    if name == STDIN:
        click.echo(tidy, nl=False)
    elif tidy != text:
        write_bytes(Path(name), tidy.encode())
    return False
