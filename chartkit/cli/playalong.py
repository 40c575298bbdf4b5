"""`chartkit playalong`: the whole tune, from the count-in to the last chord."""

from __future__ import annotations

from pathlib import Path
from typing import Final, Unpack

import click

from chartkit.cli import options
from chartkit.cli.groups import GroupedCommand, examples
from chartkit.cli.lasting import Lasting, lasted, lasting
from chartkit.cli.options import Playing
from chartkit.cli.values import MUSIC
from chartkit.take import Take

CHORUSES: Final = 3

EXAMPLES: Final = examples(
    "chartkit playalong my-tune.chart --choruses 5",
    "chartkit playalong my-tune.chart --intro last-four --last-chord cut",
    "chartkit playalong my-tune.chart --trade eights --trade-over nothing",
    "chartkit playalong my-tune.chart --without bass --level drums=-4",
    "chartkit playalong my-tune.chart --tempo 120 --faster-by 10 --faster-every 2 --up-to 180",
)


class _Asked(Playing, Lasting):
    """What the shared options hand over."""


@click.command("playalong", cls=GroupedCommand, epilog=EXAMPLES)
@options.CHART
@lasting("--choruses", CHORUSES, "How it ends;")
@options.count_in(2)
@options.playing
@options.writing(MUSIC, folder="a file of the usual name")
@options.STEMS
def command(
    file: str,
    *,
    count_in: int,
    stems: bool,
    path: Path | None,
    force: bool,
    **asked: Unpack[_Asked],
) -> None:
    """Render the full form: a count-in, choruses that build, an ending."""
    from chartkit.cli.loading import load
    from chartkit.cli.naming import place, take_name

    loaded = load(file)
    take = Take(loaded.chart, count_in=count_in, loop=False)
    take = lasted(options.played(take, asked), asked, CHORUSES)
    name = f"{take_name(loaded.stem, take, 'playalong')}.wav"
    target = place(path, name, MUSIC)
    options.render(take, target, stems=stems, over=force or target != path)
