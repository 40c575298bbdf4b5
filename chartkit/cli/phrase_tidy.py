"""`chartkit phrase tidy`: a phrase in the one tidy spelling."""

from __future__ import annotations

import click

from chartkit.cli.tidying import tidy
from chartkit.errors import ChartFaults


@click.command("tidy", epilog="Example: chartkit phrase tidy my-phrase.phrase")
@click.argument("names", nargs=-1, required=True, metavar="FILE...")
@click.option("--check", is_flag=True, help="Write nothing; fail if a file is not tidy.")
def command(names: tuple[str, ...], *, check: bool) -> int:
    """Rewrite phrases in the one tidy spelling; comments are kept.

    Standard input (-) is written to standard output.
    """
    return tidy(names, _tidied, "phrase", "chartkit phrase tidy", check=check)


def _tidied(text: str, name: str) -> str:
    from chartkit.phrase.reader import parse
    from chartkit.phrase.writer import write

    reading = parse(text, name)
    if reading.phrase is None:
        raise ChartFaults(reading.faults)
    return write(reading.phrase)
