"""`chartkit tidy`: a chart in the one tidy spelling."""

from __future__ import annotations

import click

from chartkit.cli.tidying import tidy
from chartkit.errors import ChartFaults


@click.command("tidy", epilog="Example: chartkit tidy my-tune.chart")
@click.argument("names", nargs=-1, required=True, metavar="FILE...")
@click.option("--check", is_flag=True, help="Write nothing; fail if a file is not tidy.")
def command(names: tuple[str, ...], *, check: bool) -> int:
    """Rewrite charts in the one tidy spelling; comments are kept.

    Standard input (-) is written to standard output.
    """
    return tidy(names, _tidied, "chart", "chartkit tidy", check=check)


def _tidied(text: str, name: str) -> str:
    from chartkit.reader import parse
    from chartkit.writer import write

    reading = parse(text, name)
    if reading.chart is None:
        raise ChartFaults(reading.faults)
    return write(reading.chart)
