"""`chartkit phrase place`: where a phrase fits in a tune, and a chorus that plays it there."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any, Final, Unpack

import click

from chartkit.cli import options
from chartkit.cli.groups import GroupedCommand, examples, under
from chartkit.cli.options import MUSIC_HEADING, Playing
from chartkit.cli.phrase_loading import PHRASE
from chartkit.cli.phrase_options import write_playable
from chartkit.cli.tables import table
from chartkit.cli.values import BARS, MUSIC, NOTATION, POSITION
from chartkit.notate.line import Staves
from chartkit.phrase.places import PlaceInTune
from chartkit.take import Take
from chartkit.theory.symbol import write_symbol

EXAMPLES: Final = examples(
    "chartkit phrase place my-phrase.phrase my-tune.chart",
    "chartkit phrase place my-phrase.phrase my-tune.chart B --position V -o chorus.pdf",
    "chartkit phrase place my-phrase.phrase my-tune.chart --tempo 100 -o chorus.wav",
)


@click.command("place", cls=GroupedCommand, epilog=EXAMPLES)
@PHRASE
@click.argument("tune", metavar="TUNE")
@options.SECTIONS
@under(
    MUSIC_HEADING,
    "--bars",
    type=BARS,
    help="Printed bar numbers, such as 7-10, instead of sections.",
)
@under(
    MUSIC_HEADING,
    "--position",
    type=POSITION,
    help="Stay in this position, such as 5 or V.  [default: the hand is free]",
)
@under(
    MUSIC_HEADING,
    "--times",
    type=click.IntRange(1, 500),
    default=1,
    show_default=True,
    help="Times round, where it is heard.",
)
@under(MUSIC_HEADING, "--json", "as_json", is_flag=True, help="Print the places for programs.")
@options.STAVES
@options.PAPER
@options.LARGE_PRINT
@options.count_in(0)
@options.playing
@options.writing((*NOTATION, *MUSIC))
def command(
    file: str,
    tune: str,
    sections: tuple[str, ...],
    *,
    bars: tuple[int, int] | None,
    position: int | None,
    times: int,
    as_json: bool,
    staves: Staves,
    paper: str,
    large: bool,
    count_in: int,
    path: Path | None,
    force: bool,
    **playing: Unpack[Playing],
) -> None:
    """Tell every place in a tune where a phrase fits, the best first.

    Its chord or its cadence must stand there. With -o a chorus is written that plays it at each of
    those places, as a page or as sound with the band.
    """
    from chartkit.cli.loading import load as load_chart
    from chartkit.cli.naming import destination
    from chartkit.cli.phrase_loading import load
    from chartkit.make_chorus import chorus, chorus_playable, tune_places

    phrase = load(file).phrase
    take = Take(
        load_chart(tune).chart, sections=sections, bars=bars, times=times, count_in=count_in
    )
    take = options.played(take, playing)
    found = tune_places(phrase, take)
    if as_json:
        click.echo(json.dumps([_as_object(one) for one in found], indent=2))
    elif path is None:
        click.echo("\n".join(_as_text(phrase.title, take.chart.title, found)))
    if path is None:
        return
    made = chorus(phrase, take, position)
    click.echo(_told(len(made.played), len(made.left_out)), err=True)
    playable = chorus_playable(phrase, take, position, staves)
    write_playable(playable, destination(path, path.name, force=force), take, paper, large=large)


def _told(played: int, left_out: int) -> str:
    places = f"played at {played} place{'s' * (played != 1)}"
    return f"{places}; {left_out} left out for want of room" if left_out else places


def _as_text(phrase: str, tune: str, found: Sequence[PlaceInTune]) -> Iterator[str]:
    count = f"{len(found)} place{'s' * (len(found) != 1)}"
    yield f"{phrase or 'The phrase'} in {tune or 'the tune'}: {count if found else 'nowhere'}"
    if found:
        times = Counter(map(_row, found))
        rows = [("bar", "", "beat", "chords", ""), *(_said(row, n) for row, n in times.items())]
        yield from table(rows, numbers=1)


def _said(row: tuple[str, ...], times: int) -> tuple[str, ...]:
    """Return the row of a place that the form comes to so many times."""
    return row if times == 1 else (*row[:-1], f"{row[-1]}, {times} times")


def _row(one: PlaceInTune) -> tuple[str, ...]:
    return (
        str(one.bar.number),
        f"[{one.bar.section}]",
        _beat(one),
        _chords(one),
        ", ".join(one.reasons) or "as written",
    )


def _beat(one: PlaceInTune) -> str:
    beat = one.beat + 1
    return str(beat.numerator) if beat.denominator == 1 else str(float(beat))


def _chords(one: PlaceInTune) -> str:
    names = [write_symbol(here.chord) if here.chord else "N.C." for here in one.chords]
    return " ".join(name for n, name in enumerate(names) if not n or name != names[n - 1])


def _as_object(one: PlaceInTune) -> dict[str, Any]:
    return {
        "section": one.bar.section,
        "bar": one.bar.number,
        "beat": float(one.beat + 1),
        "start": float(one.start),
        "end": float(one.end),
        "chords": _chords(one).split(),
        "values": {1: "as written", Fraction(1, 2): "halved", 2: "doubled"}[one.stretch],
        "misfit": one.misfit,
        "reasons": list(one.reasons),
    }
