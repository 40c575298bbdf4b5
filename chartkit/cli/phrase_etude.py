"""`chartkit phrase etude`: a line to read at sight, over a tune, from phrases and exercises."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Final, Unpack

import click

from chartkit.cli import options
from chartkit.cli.groups import GroupedCommand, examples, under
from chartkit.cli.log_open import DAY
from chartkit.cli.options import MUSIC_HEADING, Playing
from chartkit.cli.phrase_options import write_playable
from chartkit.cli.values import BARS, MUSIC, NOTATION, POSITION
from chartkit.notate.line import Staves
from chartkit.phrase.etude_grades import GRADES, USUAL_GRADE, USUAL_POSITION
from chartkit.phrase.phrase import Phrase
from chartkit.take import Take

EXAMPLES: Final = examples(
    "chartkit phrase etude my-tune.chart",
    "chartkit phrase etude my-tune.chart B --grade 2 --position II",
    "chartkit phrase etude my-tune.chart --phrase my-phrase.phrase --tempo 90 -o etude.wav",
)


@click.command("etude", cls=GroupedCommand, epilog=EXAMPLES)
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
    "--grade",
    type=click.IntRange(min(GRADES), max(GRADES)),
    default=USUAL_GRADE,
    show_default=True,
    help="; ".join(f"{number} {grade.description}" for number, grade in GRADES.items()) + ".",
)
@under(
    MUSIC_HEADING,
    "--phrase",
    "phrases",
    multiple=True,
    metavar="FILE",
    help="A phrase that may come up; once for each.  [default: those you keep, or the demo "
    "phrases]",
)
@under(
    MUSIC_HEADING,
    "--position",
    type=POSITION,
    default=str(USUAL_POSITION),
    help="Stay in this position, such as 5 or V.  [default: V]",
)
@under(MUSIC_HEADING, "--free", is_flag=True, help="The hand moves freely, in no position.")
@under(
    MUSIC_HEADING,
    "--day",
    type=DAY,
    help="Each day has etudes of its own; --seed gives another of them.  [default: today]",
)
@options.HEARD_TIMES
@options.STAVES
@options.PAPER
@options.LARGE_PRINT
@options.count_in(0)
@options.playing
@options.writing((*NOTATION, *MUSIC))
def command(
    tune: str,
    sections: tuple[str, ...],
    *,
    bars: tuple[int, int] | None,
    grade: int,
    phrases: tuple[str, ...],
    position: int,
    free: bool,
    day: date | None,
    times: int,
    staves: Staves,
    paper: str,
    large: bool,
    count_in: int,
    path: Path | None,
    force: bool,
    **playing: Unpack[Playing],
) -> None:
    """Write an etude over a tune, to read at sight today: as a page, or as sound with the band.

    It is one line, joined from phrases where their chords stand and from kinds of exercise between
    them, with places to breathe. What it is made of is told beside it.

    Warm up first and stop on pain: a stretch that hurts is a question for a teacher.
    """
    from chartkit.cli.loading import load as load_chart
    from chartkit.cli.naming import destination
    from chartkit.make_etude import EtudeAsked, etude_playable, made_etude
    from chartkit.phrase.etude import parts_in_words

    loaded = load_chart(tune)
    take = Take(loaded.chart, sections=sections, bars=bars, times=times, count_in=count_in)
    on = day or date.today()  # noqa: DTZ011 (the player's own day)
    take = options.played(take, playing)
    asked = EtudeAsked(
        _phrases(phrases), grade, None if free else position, f"{on.isoformat()} {take.seed}"
    )
    for line in parts_in_words(made_etude(take, asked).parts):
        click.echo(line, err=True)
    playable = etude_playable(take, asked, staves)
    to = destination(path, f"{loaded.stem}-etude-{on.isoformat()}.pdf", force=force)
    write_playable(playable, to, take, paper, large=large)


def _phrases(named: tuple[str, ...]) -> tuple[Phrase, ...]:
    from chartkit.cli.phrase_loading import load
    from chartkit.home import home
    from chartkit.make_etude import demo_phrases
    from chartkit.phrase.kept import kept_phrases

    if named:
        return tuple(load(name).phrase for name in named)
    return tuple(one.phrase for one in kept_phrases(home())) or demo_phrases()
