"""`chartkit loop`: the band on a part of the tune, round and round."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Final, Unpack

import click

from chartkit.cli import options
from chartkit.cli.groups import GroupedCommand, examples, under
from chartkit.cli.lasting import Lasting, lasted, lasting
from chartkit.cli.options import FILE_HEADING, MUSIC_HEADING, Playing
from chartkit.cli.values import BARS, MUSIC
from chartkit.take import Take

TIMES: Final = 1

EXAMPLES: Final = examples(
    "chartkit loop my-tune.chart A B --tempo 120",
    "chartkit loop my-tune.chart A --tempo 100 --faster-by 5 --up-to 140",
    "chartkit loop my-tune.chart A --key-each-time fourths --minutes 10",
    "chartkit loop my-tune.chart B --only drums --click 2,4",
    "chartkit loop my-tune.chart --trade fours --times 4 --ending standard",
)


class _Asked(Playing, Lasting):
    """What the shared options hand over."""


@click.command("loop", cls=GroupedCommand, epilog=EXAMPLES)
@options.CHART
@options.SECTIONS
@under(
    MUSIC_HEADING,
    "--bars",
    type=BARS,
    help="Printed bar numbers, such as 7-10, instead of sections.",
)
@lasting("--times", TIMES, "End, instead of leading back into the beginning;")
@options.count_in(0)
@options.playing
@options.writing(MUSIC, folder="a file of the usual name")
@options.STEMS
@under(FILE_HEADING, "--play", is_flag=True, help="Play it until Ctrl-C instead of writing a file.")
def command(
    file: str,
    sections: tuple[str, ...],
    *,
    bars: tuple[int, int] | None,
    play: bool,
    count_in: int,
    stems: bool,
    path: Path | None,
    force: bool,
    **asked: Unpack[_Asked],
) -> None:
    """Render the band on sections of a tune (or all of it) as a seamless loop.

    Several sections are joined in the order given. With --ending it is a loop no more: it is played
    so many times and ends.
    """
    from chartkit.cli.loading import load
    from chartkit.cli.naming import place, take_name

    loaded = load(file)
    take = Take(loaded.chart, sections=sections, bars=bars, count_in=count_in)
    take = lasted(options.played(take, asked), asked, TIMES)
    if take.ending:
        take = replace(take, loop=False, intro=take.intro or "none")
    if play:
        options.play(take)
        return
    name = f"{take_name(loaded.stem, take)}.wav"
    target = place(path, name, MUSIC)
    options.render(take, target, stems=stems, over=force or target != path)
