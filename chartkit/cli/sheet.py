"""`chartkit sheet`: the chart itself, printed."""

from __future__ import annotations

from pathlib import Path

import click

from chartkit.cli import options
from chartkit.cli.options import wanted_key
from chartkit.cli.values import KEY, NOTATION
from chartkit.theory.pitch import NoteName


@click.command("sheet", epilog="Example: chartkit sheet my-tune.chart --key Bb")
@options.CHART
@click.option("--key", type=KEY, help="Transpose to this key, such as Bb.")
@click.option("--reflow", is_flag=True, help="Four bars a line instead of the file's own lines.")
@options.PAPER
@options.LARGE_PRINT
@options.writing(NOTATION)
def command(
    file: str,
    *,
    key: tuple[NoteName, str | None] | None,
    reflow: bool,
    paper: str,
    large: bool,
    path: Path | None,
    force: bool,
) -> None:
    """Print the chart: rehearsal letters, repeats, endings, changes over slashes."""
    from chartkit.cli.loading import load
    from chartkit.cli.naming import destination, take_name
    from chartkit.notate import notate_chart
    from chartkit.take import Take
    from chartkit.transpose import transpose_to

    loaded = load(file)
    wanted = wanted_key(loaded.chart, key)
    chart = transpose_to(loaded.chart, wanted) if wanted else loaded.chart
    name = f"{take_name(loaded.stem, Take(chart, key=wanted))}.pdf"
    options.print_sheet(
        notate_chart(chart, reflow=reflow),
        destination(path, name, force=force),
        paper,
        large=large,
    )
