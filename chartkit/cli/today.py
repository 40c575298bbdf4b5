"""`chartkit today`: the day's work, ready to play."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from chartkit.cli.groups import GroupedCommand, examples, under
from chartkit.cli.log_open import DAY, PLAYER
from chartkit.cli.values import TEMPO
from chartkit.errors import RequestError
from chartkit.output.paper import PAPERS
from chartkit.practice.order import EVIDENCE, ORDERS, Order
from chartkit.practice.plan import LEAST, MOST

if TYPE_CHECKING:
    from chartkit.chart import Chart
    from chartkit.make_today import Named, Today

DEMO: Final = "seven-umbrellas"
"""Stands in where no tune is under way."""

SOUNDS: Final = (".flac", ".wav", ".ogg")

DAY_HEADING: Final = "The day"
TUNES_HEADING: Final = "The tunes"
FOLDER_HEADING: Final = "The folder"

EXAMPLES: Final = examples(
    "chartkit today my-tune.chart --goal 140",
    "chartkit today",
    "chartkit today --minutes 25 --order mixed",
    "chartkit today --show",
)


@click.command("today", cls=GroupedCommand, epilog=EXAMPLES)
@click.argument("files", nargs=-1, metavar="[FILE]...")
@under(
    DAY_HEADING,
    "--minutes",
    type=click.IntRange(LEAST, MOST),
    help="The time there is; all of it, rests included.  [default: 10]",
)
@under(
    DAY_HEADING,
    "--order",
    type=click.Choice(list(ORDERS)),
    help="; ".join(f"{name}, {told}" for name, told in ORDERS.items())
    + "; remembered.  [default: blocked]",
)
@PLAYER
@under(
    DAY_HEADING,
    "--day",
    type=DAY,
    help="Another day, to look at or to make; its plan is not kept.  [default: today]",
)
@under(DAY_HEADING, "--show", is_flag=True, help="Only tell the plan.")
@under(DAY_HEADING, "--json", "as_json", is_flag=True, help="Only tell the plan, for programs.")
@click.option(
    "--template",
    is_flag=True,
    help="Put a file of your own in which to change the shares and the rules; tell where.",
)
@under(
    TUNES_HEADING,
    "--goal",
    type=TEMPO,
    help="The tempo to reach on the first tune named; remembered.  [default: the chart's]",
)
@under(TUNES_HEADING, "--set-aside", is_flag=True, help="Set the tunes named aside instead.")
@under(
    FOLDER_HEADING,
    "-o",
    "--output",
    "folder",
    type=click.Path(path_type=Path),
    help="Where to make it.  [default: a folder with the day's date]",
)
@under(
    FOLDER_HEADING,
    "--sound",
    type=click.Choice([ending[1:] for ending in SOUNDS]),
    default=SOUNDS[0][1:],
    show_default=True,
    help="The format of what is heard.",
)
@under(FOLDER_HEADING, "--paper", type=click.Choice(list(PAPERS)), default="a4", show_default=True)
@under(FOLDER_HEADING, "--large", is_flag=True, help="Print large.")
@under(FOLDER_HEADING, "--soundfont", metavar="FONT", help="A soundfont file.")
def command(
    files: tuple[str, ...],
    *,
    minutes: int | None,
    order: Order | None,
    player: str,
    day: date | None,
    show: bool,
    as_json: bool,
    template: bool,
    goal: Fraction | None,
    set_aside: bool,
    folder: Path | None,
    sound: str,
    paper: str,
    large: bool,
    soundfont: str | None,
) -> None:
    """Make today's work: a booklet, a sound for each item, and one of all of it in a row.

    FILE is a chart to take up: it stays under way until its whole form is there, and the first one
    named is today's. Asked again, today is the same day.

    Warm up before you play, keep the volume safe, and stop on pain: a teacher or a clinician knows
    more than a program.
    """
    from chartkit.home import home
    from chartkit.make_today import Asked, today_plan

    if template:
        _put_template()
        return
    if set_aside:
        _set_aside(files, player)
        return
    named = tuple(map(_named, files))
    asked = Asked(minutes, order, goal, named)
    on = day or date.today()  # noqa: DTZ011 (the player's own calendar day)
    made = today_plan(
        home(),
        on,
        _load,
        _demo(),
        asked,
        player=player,
        keep=on == date.today(),  # noqa: DTZ011
    )
    for sentence in made.news:
        click.echo(f"chartkit: {sentence}", err=True)
    if as_json:
        click.echo(_as_json(made))
        return
    for line in told(made):
        click.echo(line, err=not show)
    if not show:
        _build(made, folder or Path(on.isoformat()), f".{sound}", paper, soundfont, large=large)


def told(made: Today) -> Iterator[str]:
    """Yield a day's plan in lines."""
    from chartkit.guitar.fretboard import numeral
    from chartkit.make_today.folder import CAUTION
    from chartkit.make_today.items import clock
    from chartkit.practice.ladder import words

    plan = made.plan
    yield (
        f"{plan.day:%A} {plan.day.day} {plan.day:%B %Y}: {clock(plan.seconds)} of {plan.minutes} "
        f"minutes, {made.order}"
    )
    for number, item in enumerate(plan.items, 1):
        turn = f", turn {item.turn}" if item.turn > 1 else ""
        place = f"position {numeral(item.position)}, " if item.position else ""
        keys = f"{' '.join(item.keys)}, " if item.keys else ""
        yield f"{number:>3}  {clock(item.seconds):>5}  {item.title}{turn}"
        yield f"            {place}{keys}at {words(item.tempo)}"
        yield f"            {item.why}"
    yield CAUTION
    yield EVIDENCE


def _as_json(made: Today) -> str:
    from chartkit.practice.item import to_json

    return json.dumps([to_json(item) for item in made.plan.items], ensure_ascii=False, indent=1)


def _build(
    made: Today, folder: Path, ending: str, paper: str, soundfont: str | None, *, large: bool
) -> None:
    from chartkit.cli.progress import progress
    from chartkit.home import home
    from chartkit.make_today.folder import Making, build
    from chartkit.make_today.kept import Kept
    from chartkit.output.synth import find_soundfont

    began = time.monotonic()
    making = Making(find_soundfont(soundfont), ending, paper, large)
    with progress(f"Making {folder}") as report:
        names = build(made, folder, Kept(home() / "cache" / "today"), making, report)
    for name in names:
        click.echo(folder / name)
    size = sum((folder / name).stat().st_size for name in names) / 1_000_000
    spent = time.monotonic() - began
    click.echo(f"{len(names)} files, {size:.0f} MB, made in {spent:.0f} s", err=True)


def _named(name: str) -> Named:
    """Return a chart that the player names."""
    from chartkit.cli.loading import load, text_of
    from chartkit.cli.named import STDIN
    from chartkit.make_today import Named

    if name == STDIN:
        raise RequestError("a tune that is taken up is found again by its file: name one, not -")
    chart = load(name).chart
    _, path = text_of(name)
    return Named(chart, str(Path(path).resolve()))


def _demo() -> Named:
    from chartkit.cli.loading import load
    from chartkit.make_today import Named

    return Named(load(DEMO).chart, None)


def _load(path: str) -> Chart:
    """Read a chart that the log knows; its warnings have been heard."""
    from chartkit.errors import ChartFaults
    from chartkit.reader import parse
    from chartkit.source import load

    reading = parse(load(path), path)
    if reading.chart is None:
        raise ChartFaults(reading.faults)
    return reading.chart


def _set_aside(names: tuple[str, ...], player: str) -> None:
    """Set tunes aside, also such as have no file any more; they come again when they are named."""
    from chartkit.cli.log_open import tune_named
    from chartkit.home import home
    from chartkit.practice.log import open_log

    if not names:
        raise RequestError("say which tune to set aside: name its file or its title")
    with open_log(home()) as log:
        for name in names:
            tune = tune_named(log, name)
            log.rest(player, tune, date.today())  # noqa: DTZ011
            known = log.tune(tune)
            click.echo(f"set aside: {known.title if known else tune}", err=True)


def _put_template() -> None:
    """Copy the template to the player's own folder, unless there is one; print where it is."""
    from chartkit.home import home
    from chartkit.make_today.today import TEMPLATE
    from chartkit.output.files import cannot_write, write_bytes
    from chartkit.practice.template import FILE

    path = home() / TEMPLATE
    if not path.exists():
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise cannot_write(path, error) from error
        write_bytes(path, FILE.read_bytes())
    click.echo(path)
