"""`chartkit technique`: warm-ups, scales and chords along the neck, without a tune."""

from __future__ import annotations

from pathlib import Path
from typing import Unpack

import click

from chartkit.cli import options
from chartkit.cli.groups import GroupedCommand, under
from chartkit.cli.instruments import STRINGS, adding, instrument_of
from chartkit.cli.practice import clicks_asked
from chartkit.cli.routine_options import (
    ASKED,
    EVERY,
    EXERCISE_HEADING,
    KEYS,
    PATTERN,
    Asked,
    Keys,
    keys_of,
    note_value,
    where_of,
)
from chartkit.cli.values import NOTATION, NOTE_VALUES, POSITION, RANGE
from chartkit.take import BAND
from chartkit.technique.chords import KINDS, LOWEST, chords
from chartkit.technique.diatonic import FAMILIES
from chartkit.technique.figures import read_figure
from chartkit.technique.keys import of_day
from chartkit.technique.routine import Routine
from chartkit.technique.scales import scales
from chartkit.technique.warmup import PATTERNS, warm_up
from chartkit.theory.pitch import NoteName


@click.group("technique", epilog="Example: chartkit technique scales --keys 4 --day 1")
def command() -> None:
    """Write warm-ups, scales and chords along the neck, as a page, as notation or as sound.

    No tune is needed. Start slowly, and stop on pain: a stretch that hurts is a question for a
    teacher.
    """


@command.command(
    "warmup", cls=GroupedCommand, epilog="Example: chartkit technique warmup 1-2-3-4 --position V"
)
@click.argument("patterns", nargs=-1, type=PATTERN, metavar="[FINGERS]...")
@under(
    EXERCISE_HEADING,
    "--each-day",
    type=click.IntRange(1, len(PATTERNS)),
    default=2,
    show_default=True,
    help="How many orders of the fingers a day, where none is named.",
)
@under(
    EXERCISE_HEADING,
    "--day",
    type=click.IntRange(1),
    default=1,
    show_default=True,
    help="Which day.",
)
@under(
    EXERCISE_HEADING,
    "--position",
    type=POSITION,
    default="V",
    show_default=True,
    help="Where the hand begins.",
)
@under(EXERCISE_HEADING, "--to", "last", type=POSITION, help="Travel up the neck to this position.")
@note_value("eighth")
@adding(ASKED)
def warmup(
    patterns: tuple[tuple[int, ...], ...],
    *,
    each_day: int,
    day: int,
    position: int,
    last: int | None,
    value: str,
    **asked: Unpack[Asked],
) -> None:
    """Write chromatic finger patterns across the strings."""
    chosen = patterns or of_day(PATTERNS, each_day, day)
    made = warm_up(
        chosen,
        instrument_of(asked["instrument"], asked["tuning"], asked["capo"]),
        position,
        last,
        NOTE_VALUES[value],
        feel=asked["feel"],
    )
    words = ["".join(map(str, pattern)) for pattern in patterns] or _day(day)
    _write(made, "-".join(("warmup", *words)), asked)


@command.command(
    "scales",
    cls=GroupedCommand,
    epilog="Example: chartkit technique scales thirds --keys 6 --day 2",
)
@click.argument("figure", default="scale", metavar="[FIGURE]")
@adding(KEYS)
@under(EXERCISE_HEADING, "--position", type=POSITION, help="Stay in this position.  [default: V]")
@under(
    EXERCISE_HEADING, "--three-a-string", is_flag=True, help="Three notes on each string instead."
)
@under(
    EXERCISE_HEADING,
    "--range",
    "compass",
    type=RANGE,
    help="Lowest to highest note, without frets.",
)
@note_value("eighth")
@adding(ASKED)
def scale_command(
    figure: str,
    *,
    position: int | None,
    three_a_string: bool,
    compass: tuple[int, int] | None,
    value: str,
    key: tuple[NoteName, str | None] | None,
    family: str,
    keys: int,
    day: int,
    order: str,
    **asked: Unpack[Asked],
) -> None:
    """Write scales in one place, and a figure on each of their notes.

    FIGURE is scale (alone), thirds, fourths, fifths, sixths, octaves, triads, seventh-chords, or
    numbers of the scale's notes, such as 1235.
    """
    wanted = Keys(key=key, family=family, keys=keys, day=day, order=order)
    instrument = instrument_of(asked["instrument"], asked["tuning"], asked["capo"])
    where = where_of(instrument, position, compass, three_a_string=three_a_string)
    played = read_figure(figure)
    made = scales(
        keys_of(wanted, instrument, where.position),
        FAMILIES[family],
        played,
        instrument,
        where,
        value=NOTE_VALUES[value],
        feel=asked["feel"],
    )
    _write(made, _name("scales", wanted, played.name), asked)


@command.command(
    "chords", cls=GroupedCommand, epilog="Example: chartkit technique chords triads --strings 3-2-1"
)
@click.argument("kind", type=click.Choice(list(KINDS)), default="triads")
@adding(KEYS)
@under(
    EXERCISE_HEADING, "--strings", type=STRINGS, help="The strings they lie on, such as 4-3-2-1."
)
@under(
    EXERCISE_HEADING,
    "--lowest",
    type=click.Choice(list(LOWEST)),
    default="root",
    show_default=True,
    help="The tone that lies lowest.",
)
@note_value("one that lets chords begin on beats", given=False)
@adding(ASKED)
def chord_command(
    kind: str,
    *,
    strings: tuple[int, ...] | None,
    lowest: str,
    value: str | None,
    key: tuple[NoteName, str | None] | None,
    family: str,
    keys: int,
    day: int,
    order: str,
    **asked: Unpack[Asked],
) -> None:
    """Write the chords of a scale along the neck, broken up, up and down.

    KIND is triads, sevenths, drop-2, drop-3 or shells.
    """
    wanted = Keys(key=key, family=family, keys=keys, day=day, order=order)
    instrument = instrument_of(asked["instrument"], asked["tuning"], asked["capo"])
    made = chords(
        keys_of(wanted, instrument, None),
        FAMILIES[family],
        KINDS[kind],
        instrument,
        strings=strings,
        lowest=lowest,
        value=NOTE_VALUES[value] if value else None,
        feel=asked["feel"],
    )
    _write(made, _name("chords", wanted, kind), asked)


def _name(what: str, wanted: Keys, *words: str) -> str:
    """Return a file name without ending, such as ``scales-melodic-minor-thirds-day-2``."""
    family = wanted["family"].split() if wanted["family"] != "major" else []
    days = wanted["keys"] > 1 or wanted["day"] > 1
    when = _day(wanted["day"]) if days else [str(wanted["key"][0] if wanted["key"] else "C")]
    return "-".join((what, *family, *words, *when))


def _day(day: int) -> list[str]:
    return ["day", str(day)]


def _write(made: Routine, name: str, asked: Asked) -> None:
    """Write a routine where and as what the player asked for."""
    from chartkit.cli.naming import destination, destination_folder

    path = asked["path"]
    parted = options.stems_wanted(asked["stems"], path)
    if path and path.suffix.lower() not in EVERY:
        folder = destination_folder(path)
        for ending in EVERY:
            _write_one(made, folder / f"{name}{ending}", asked)
    else:
        _write_one(made, destination(path, f"{name}.pdf", force=asked["force"] or parted), asked)


def _write_one(made: Routine, path: Path, asked: Asked) -> None:
    from chartkit.make_routine import routine_performance, routine_sheet

    if path.suffix.lower() in NOTATION:
        sheet = routine_sheet(made, asked["tempo"], asked["staves"])
        options.print_sheet(sheet, path, asked["paper"], large=asked["large"])
        return
    music = routine_performance(
        made,
        asked["tempo"],
        times=asked["times"],
        count_in=asked["count_in"],
        click=clicks_asked(asked["click_on"], asked["one_bar_in"]),
        parts=BAND if asked["with_band"] else (),
    )
    over = asked["force"] or not asked["stems"]
    sound = options.Sound(asked["soundfont"], asked["a4"], asked["stems"], over)
    options.write_heard(music, path, sound)
