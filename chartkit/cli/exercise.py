"""`chartkit exercise`: a line through the changes, to read, to hear and to play."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Final, Unpack

import click

from chartkit.chart import Meter
from chartkit.cli import options
from chartkit.cli.choices import LINE_HEADING, line_choices
from chartkit.cli.exercise_files import EVERY, Page, write_all, write_booklet, write_one
from chartkit.cli.groups import GroupedCommand, under
from chartkit.cli.instruments import PLAYER_HEADING, player_options
from chartkit.cli.options import PAGE_HEADING, SOUND_HEADING, Playing
from chartkit.cli.values import BARS, NOTE, NOTE_VALUES, POSITION, RANGE
from chartkit.controls.keys import times_for
from chartkit.errors import RequestError
from chartkit.exercise import KINDS
from chartkit.exercise.weeks import WEEKS, exercises_of
from chartkit.guitar.fretboard import numeral
from chartkit.instrument import instrument_words
from chartkit.line_options import NO_CHOICE, LineOptions
from chartkit.notate.line import Staves
from chartkit.player import Player
from chartkit.take import ExerciseAsked, Take

USUAL_KIND: Final = "connected"
USUAL_POSITION: Final = 5
"""Where neither a position nor a range is asked for: the middle of the neck."""


@click.command(
    "exercise", cls=GroupedCommand, epilog="Example: chartkit exercise my-tune.chart A --position V"
)
@options.CHART
@options.SECTIONS
@under(
    LINE_HEADING,
    "--bars",
    type=BARS,
    help="Printed bar numbers, such as 7-10, instead of sections.",
)
@under(
    LINE_HEADING,
    "--kind",
    "kinds",
    type=click.Choice(list(KINDS)),
    multiple=True,
    help="What to play; may repeat: "
    + "; ".join(f"{k.name}, {k.description}" for k in KINDS.values())
    + f".  [default: {USUAL_KIND}]",
)
@under(
    LINE_HEADING,
    "--week",
    type=click.IntRange(1, len(WEEKS)),
    help="The exercises of a week of practice instead of one kind; each week asks a little more.",
)
@under(
    LINE_HEADING,
    "--position",
    "positions",
    type=POSITION,
    multiple=True,
    help="Stay in this position, such as 5 or V; may repeat.  [default: V]",
)
@under(
    LINE_HEADING,
    "--range",
    "compass",
    type=RANGE,
    help="Lowest to highest note as they sound, A2-C5.",
)
@under(LINE_HEADING, "--start", type=NOTE, help="The note to set out from, as it sounds: D3.")
@under(
    LINE_HEADING,
    "--notes",
    "value",
    type=click.Choice(list(NOTE_VALUES)),
    help="The note value.  [default: eighth]",
)
@under(
    LINE_HEADING,
    "--direction",
    type=click.Choice(["up", "down"]),
    help="The way it sets out.  [default: up]",
)
@line_choices
@player_options
@under(PLAYER_HEADING, "--reasons", is_flag=True, help="Tell why the hand moves where it does.")
@under(SOUND_HEADING, "--with-band", is_flag=True, help="Heard with the band instead of alone.")
@under(
    SOUND_HEADING,
    "--times",
    type=click.IntRange(1, 500),
    help="Times round, where it is heard.  [default: 1, or until each key has come up]",
)
@options.STAVES
@under(
    PAGE_HEADING,
    "--diagrams",
    is_flag=True,
    help="Draw each chord's arpeggio in the position, under the music.",
)
@options.PAPER
@options.LARGE_PRINT
@options.count_in(0)
@options.playing
@options.writing(EVERY, folder="them all")
@options.STEMS
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
    times: int | None,
    staves: Staves,
    diagrams: bool,
    paper: str,
    large: bool,
    count_in: int,
    path: Path | None,
    force: bool,
    stems: bool,
    **playing: Unpack[Playing],
) -> None:
    """Write a line through the changes of a section, as a page, as notation or as sound.

    The page has staff and tablature with fingers; several exercises, or one in several keys, make
    a booklet. Warm up first and stop on pain: a stretch that hurts is a question for a teacher.
    """
    from chartkit.cli.loading import load
    from chartkit.cli.naming import destination, destination_folder, take_name
    from chartkit.exercise.asked import choices_of

    if positions and compass:
        raise RequestError("say where to play with --position or with --range, not with both")
    line = ExerciseAsked(
        position=USUAL_POSITION,
        value=NOTE_VALUES[value] if value else None,
        upward=direction != "down",
        options=choices,
    )
    if week and (kinds or value or direction or choices != NO_CHOICE):
        raise RequestError("a week brings its own exercises: leave out what kind they are")
    parted = options.stems_wanted(stems, path)
    loaded = load(file)
    take = Take(loaded.chart, sections=sections, bars=bars, count_in=count_in)
    take = options.played(take, playing)
    take = replace(take, times=times or times_for(take.keys))
    if not (with_band or _asks_for_a_band(playing)):
        take = replace(take, parts=())
    asked = _of_week(week, loaded.chart.meter) if week else _of_kinds(kinds or (USUAL_KIND,), line)
    placed = [
        replace(_placed(one, player, position, compass), start=start, player=player)
        for one in asked
        for position in positions or (None,)
    ]
    takes = [replace(take, exercise=one) for one in placed]
    page = Page(paper, staves, diagrams=diagrams, large=large)
    instrument = tuple(instrument_words(player.instrument))
    into_folder = path is not None and path.suffix.lower() not in EVERY
    if len(takes) > 1 and not into_folder:
        name = take_name(loaded.stem, take, f"week {week}" if week else "exercises", *instrument)
        write_booklet(takes, destination(path, f"{name}.pdf", force=force), page)
    for number, exercised in enumerate(takes, 1):
        one = placed[number - 1]
        words = (f"week {week}", str(number)) if week else ()
        where = (numeral(one.position),) if len(positions) > 1 and one.position else ()
        name = take_name(loaded.stem, take, *words, one.kind, *choices_of(one), *where, *instrument)
        if path and into_folder:
            write_all(exercised, destination_folder(path), name, page)
        elif len(takes) == 1:
            target = destination(path, f"{name}.pdf", force=force or parted)
            write_one(exercised, target, page, stems=parted, over=force or not parted)
    if reasons:
        _tell_reasons(takes)


def _of_week(week: int, meter: Meter) -> tuple[ExerciseAsked, ...]:
    """Return the exercises of a week, whose aim is told on standard error."""
    click.echo(f"week {week}: {WEEKS[week - 1].aim}", err=True)
    return exercises_of(week, meter)


def _of_kinds(kinds: Iterable[str], line: ExerciseAsked) -> tuple[ExerciseAsked, ...]:
    return tuple(replace(line, kind=kind) for kind in kinds)


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


def _asks_for_a_band(playing: Playing) -> bool:
    """Tell whether something is asked for that only a band can do."""
    return bool(playing["only"] or playing["without"] or playing["trade"])


def _tell_reasons(takes: Iterable[Take]) -> None:
    """Say on standard error why the hand moves where it does, each exercise under its name."""
    from chartkit.make import each_key, exercise, exercise_title

    every = [one for take in takes for one in each_key(take)]
    for take in every:
        if len(every) > 1:
            click.echo(f"{exercise_title(take)}:", err=True)
        fingering = exercise(take).fingering
        if fingering is None:
            click.echo("no reasons: this instrument has no frets", err=True)
            return
        for reason in fingering.reasons or ("the hand stays in its position",):
            click.echo(reason, err=True)
