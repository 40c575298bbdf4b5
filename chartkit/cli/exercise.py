"""`chartkit exercise`: a line through the changes, to read, to hear and to play."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, Unpack

import click

from chartkit.cli import options
from chartkit.cli.choices import line_choices
from chartkit.cli.instruments import player_options
from chartkit.cli.options import Playing
from chartkit.cli.values import BARS, MUSIC, NOTATION, NOTE, NOTE_VALUES, PAGES, POSITION, RANGE
from chartkit.errors import RequestError
from chartkit.exercise import KINDS
from chartkit.exercise.weeks import WEEKS, exercises_of
from chartkit.guitar.fretboard import numeral
from chartkit.instrument import instrument_words
from chartkit.line_options import NO_CHOICE, LineOptions
from chartkit.notate.line import Staves
from chartkit.player import Player
from chartkit.take import ExerciseAsked, Take

EVERY: Final = (*NOTATION, *MUSIC)

USUAL_KIND: Final = "connected"
USUAL_POSITION: Final = 5
"""Where neither a position nor a range is asked for: the middle of the neck."""


@click.command("exercise", epilog="Example: chartkit exercise my-tune.chart A --position V")
@options.CHART
@options.SECTIONS
@click.option("--bars", type=BARS, help="Printed bar numbers, such as 7-10, instead of sections.")
@click.option(
    "--kind",
    "kinds",
    type=click.Choice(list(KINDS)),
    multiple=True,
    help="What to play; may repeat: "
    + "; ".join(f"{k.name}, {k.description}" for k in KINDS.values())
    + f".  [default: {USUAL_KIND}]",
)
@click.option(
    "--week",
    type=click.IntRange(1, len(WEEKS)),
    help="The exercises of a week of practice instead of one kind; each week asks a little more.",
)
@click.option(
    "--position",
    "positions",
    type=POSITION,
    multiple=True,
    help="Stay in this position, such as 5 or V; may repeat.  [default: V]",
)
@click.option("--range", "compass", type=RANGE, help="Lowest to highest note as they sound, A2-C5.")
@click.option("--start", type=NOTE, help="The note to set out from, as it sounds: D3.")
@click.option(
    "--notes",
    "value",
    type=click.Choice(list(NOTE_VALUES)),
    help="The note value.  [default: eighth]",
)
@click.option(
    "--direction",
    type=click.Choice(["up", "down"]),
    help="The way it sets out.  [default: up]",
)
@line_choices
@player_options
@click.option("--reasons", is_flag=True, help="Tell why the hand moves where it does.")
@click.option("--with-band", is_flag=True, help="Heard with the band instead of alone.")
@options.HEARD_TIMES
@options.STAVES
@click.option(
    "--diagrams", is_flag=True, help="Draw each chord's arpeggio in the position, under the music."
)
@options.PAPER
@options.LARGE_PRINT
@options.count_in(0)
@options.playing
@options.writing(EVERY, folder=True)
def command(
    file: str,
    sections: tuple[str, ...],
    *,
    bars: tuple[int, int] | None,
    kinds: tuple[str, ...],
    week: int | None,
    positions: tuple[int, ...],
    compass: tuple[int, int] | None,
    start: int | None,
    value: str | None,
    direction: str | None,
    choices: LineOptions,
    player: Player,
    reasons: bool,
    with_band: bool,
    times: int,
    staves: Staves,
    diagrams: bool,
    paper: str,
    large: bool,
    count_in: int,
    path: Path | None,
    force: bool,
    **playing: Unpack[Playing],
) -> None:
    """Write a line through the changes of a section, as a page, as notation or as sound.

    The page has staff and tablature with fingers; several exercises make a booklet. Warm up first
    and stop on pain: a stretch that hurts is a question for a teacher.
    """
    from chartkit.cli.loading import load
    from chartkit.cli.naming import destination, take_name
    from chartkit.exercise.asked import choices_of

    if positions and compass:
        raise RequestError("say where to play with --position or with --range, not with both")
    loaded = load(file)
    take = Take(loaded.chart, sections=sections, bars=bars, times=times, count_in=count_in)
    take = options.played(take, playing)
    if not with_band:
        take = replace(take, parts=())
    if week:
        if kinds or value or direction or choices != NO_CHOICE:
            raise RequestError("a week brings its own exercises: leave out what kind they are")
        click.echo(f"week {week}: {WEEKS[week - 1].aim}", err=True)
        asked = exercises_of(week, loaded.chart.meter)
    else:
        asked = tuple(
            ExerciseAsked(
                kind,
                USUAL_POSITION,
                value=NOTE_VALUES[value] if value else None,
                upward=direction != "down",
                options=choices,
            )
            for kind in kinds or (USUAL_KIND,)
        )
    placed = [
        replace(_placed(one, player, position, compass), start=start, player=player)
        for one in asked
        for position in positions or (None,)
    ]
    takes = [replace(take, exercise=one) for one in placed]
    page = _Page(paper, staves, diagrams=diagrams, large=large)
    instrument = tuple(instrument_words(player.instrument))
    if len(takes) > 1 and not (path and path.suffix.lower() not in EVERY):
        name = take_name(loaded.stem, take, f"week {week}" if week else "exercises", *instrument)
        _write_booklet(takes, destination(path, f"{name}.pdf", force=force), page)
    else:
        for number, exercised in enumerate(takes, 1):
            one = placed[number - 1]
            words = (f"week {week}", str(number)) if week else ()
            where = (numeral(one.position),) if len(positions) > 1 and one.position else ()
            name = take_name(
                loaded.stem, take, *words, one.kind, *choices_of(one), *where, *instrument
            )
            _write(exercised, name, path, page, force=force)
    if reasons:
        for exercised in takes:
            _tell_reasons(exercised)


@dataclass(frozen=True, slots=True)
class _Page:
    """How an exercise is printed."""

    paper: str
    staves: Staves
    diagrams: bool
    large: bool


def _placed(
    asked: ExerciseAsked,
    player: Player,
    position: int | None,
    compass: tuple[int, int] | None,
) -> ExerciseAsked:
    """Return an exercise where the player wants it, or where it stands by itself.

    By itself it stands in a position, but on a set of strings or without frets the hand is free.
    """
    low, high = compass or (None, None)
    free = player.strings is not None or player.instrument.tuning is None
    if compass or position or (free and asked.position):
        return replace(asked, position=position, low=low, high=high)
    return asked


def _tell_reasons(take: Take) -> None:
    """Say on standard error why the hand moves where it does."""
    from chartkit.make import exercise

    fingering = exercise(take).fingering
    if fingering is None:
        click.echo("no reasons: this instrument has no frets", err=True)
        return
    for reason in fingering.reasons or ("the hand stays in its position",):
        click.echo(reason, err=True)


def _write_booklet(takes: list[Take], path: Path, page: _Page) -> None:
    """Write several exercises as one booklet."""
    from chartkit.make import exercise_booklet

    if path.suffix.lower() not in PAGES:
        raise RequestError(
            f"several exercises make one booklet as {', '.join(PAGES)}; "
            "for other formats name a folder with -o"
        )
    booklet = exercise_booklet(takes, page.staves, diagrams=page.diagrams)
    options.print_sheet(booklet, path, page.paper, large=page.large)


def _write(take: Take, name: str, path: Path | None, page: _Page, *, force: bool) -> None:
    """Write an exercise where it was asked for: a file, or every format into a folder."""
    from chartkit.cli.naming import destination, destination_folder

    if path and path.suffix.lower() not in EVERY:
        folder = destination_folder(path)
        for ending in EVERY:
            _write_as(take, folder / f"{name}{ending}", page)
    else:
        _write_as(take, destination(path, f"{name}.pdf", force=force), page)


def _write_as(take: Take, path: Path, page: _Page) -> None:
    """Write an exercise in the format of the path's ending."""
    if path.suffix.lower() in MUSIC:
        options.render(take, path)
    else:
        from chartkit.make import exercise_sheet

        sheet = exercise_sheet(take, page.staves, diagrams=page.diagrams)
        options.print_sheet(sheet, path, page.paper, large=page.large)
