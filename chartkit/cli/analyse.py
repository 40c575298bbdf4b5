"""`chartkit analyse`: what the changes are, and how they lie under the hand."""

from __future__ import annotations

import json
import shlex
from collections.abc import Iterator
from fractions import Fraction

import click

from chartkit.cli import options
from chartkit.cli.options import wanted_key
from chartkit.cli.values import BARS, KEY, POSITION, TEMPO
from chartkit.take import Take
from chartkit.theory.pitch import NoteName


@click.command("analyse", epilog="Example: chartkit analyse my-tune.chart B --position V")
@options.CHART
@options.SECTIONS
@click.option("--bars", type=BARS, help="Printed bar numbers, such as 7-10, instead of sections.")
@click.option(
    "--position",
    type=POSITION,
    help="Look at this position, such as 5 or V, instead of comparing twelve.",
)
@click.option(
    "--hardest",
    "hard",
    type=click.IntRange(1, 99),
    default=4,
    show_default=True,
    metavar="N",
    help="How many of the hardest bars to name.",
)
@click.option("--key", type=KEY, help="Transpose to this key, such as Bb.")
@click.option("--tempo", type=TEMPO, help="Quarter notes a minute, 30-400.")
@click.option("--json", "as_json", is_flag=True, help="Print one object for other programs.")
def command(
    file: str,
    sections: tuple[str, ...],
    *,
    bars: tuple[int, int] | None,
    position: int | None,
    hard: int,
    key: tuple[NoteName, str | None] | None,
    tempo: Fraction | None,
    as_json: bool,
) -> None:
    """Tell the key areas, numerals and cadences of a tune, and where to play it.

    For each chord: its numeral and scale, the way of its third and seventh into the next chord, and
    the tones that the two share. Then the positions in which the arpeggios lie best under the hand,
    and the hardest bars there with what loops just those.
    """
    from chartkit.cli.loading import load
    from chartkit.cli.overview_json import as_object
    from chartkit.cli.overview_text import as_text
    from chartkit.overview import overview

    chart = load(file).chart
    wanted = wanted_key(chart, key)
    found = overview(Take(chart, sections, bars, wanted, tempo), position)
    if as_json:
        click.echo(json.dumps(as_object(found, chart.title, hard=hard), indent=2))
    else:
        again = shlex.join(["chartkit", "loop", file, *_asked(key, tempo)])
        closer = position is not None
        click.echo(as_text(found, chart.title, again=again, hard=hard, closer=closer))


def _asked(key: tuple[NoteName, str | None] | None, tempo: Fraction | None) -> Iterator[str]:
    """Yield the options that make a loop sound as it was looked at."""
    if key:
        yield from ("--key", str(key[0]))
    if tempo:
        yield from ("--tempo", f"{float(tempo):g}")
