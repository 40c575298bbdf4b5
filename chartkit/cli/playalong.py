"""`chartkit playalong`: the whole tune, from the count-in to the last chord."""

from __future__ import annotations

from pathlib import Path
from typing import Unpack

import click

from chartkit.cli import options
from chartkit.cli.options import Playing
from chartkit.cli.values import MUSIC
from chartkit.take import Take


@click.command("playalong", epilog="Example: chartkit playalong my-tune.chart --choruses 5")
@options.CHART
@click.option(
    "--choruses", type=click.IntRange(1, 500), default=3, show_default=True, help="Times through."
)
@options.count_in(2)
@options.playing
@options.writing(MUSIC)
def command(
    file: str,
    *,
    choruses: int,
    count_in: int,
    path: Path | None,
    force: bool,
    **playing: Unpack[Playing],
) -> None:
    """Render the full form: a count-in, choruses that build, an ending."""
    from chartkit.cli.loading import load
    from chartkit.cli.naming import destination, take_name

    loaded = load(file)
    take = Take(loaded.chart, times=choruses, count_in=count_in, loop=False)
    take = options.played(take, playing)
    name = f"{take_name(loaded.stem, take, 'playalong')}.wav"
    options.render(take, destination(path, name, force=force))
