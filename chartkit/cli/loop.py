"""`chartkit loop`: the band on a part of the tune, round and round."""

from __future__ import annotations

from pathlib import Path
from typing import Unpack

import click

from chartkit.cli import options
from chartkit.cli.options import Playing
from chartkit.cli.values import BARS, MUSIC
from chartkit.take import Take


@click.command("loop", epilog="Example: chartkit loop my-tune.chart A B --tempo 120")
@options.CHART
@options.SECTIONS
@click.option("--bars", type=BARS, help="Printed bar numbers, such as 7-10, instead of sections.")
@click.option(
    "--times", type=click.IntRange(1, 500), default=1, show_default=True, help="Times round."
)
@click.option("--play", is_flag=True, help="Play it until Ctrl-C instead of writing a file.")
@options.count_in(0)
@options.playing
@options.writing(MUSIC)
def command(
    file: str,
    sections: tuple[str, ...],
    *,
    bars: tuple[int, int] | None,
    times: int,
    play: bool,
    count_in: int,
    path: Path | None,
    force: bool,
    **playing: Unpack[Playing],
) -> None:
    """Render the band on sections of a tune (or all of it) as a seamless loop.

    Several sections are joined in the order given.
    """
    from chartkit.cli.loading import load
    from chartkit.cli.naming import destination, take_name

    loaded = load(file)
    take = Take(loaded.chart, sections=sections, bars=bars, times=times, count_in=count_in)
    take = options.played(take, playing)
    if play:
        options.play(take)
        return
    name = f"{take_name(loaded.stem, take)}.wav"
    options.render(take, destination(path, name, force=force))
