"""`chartkit log`: what was practised, noted in seconds."""

from __future__ import annotations

import sys
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, TypedDict, Unpack

import click

from chartkit.cli.groups import GroupedCommand, examples, under
from chartkit.cli.log_files import FILE
from chartkit.cli.log_open import DAY, PLAYER, opened
from chartkit.cli.values import KEY, MINUTES, POSITION, TEMPO, KeyTyped
from chartkit.errors import RequestError
from chartkit.practice.entry import ME, Result

if TYPE_CHECKING:
    from chartkit.cli.log_items import Said
    from chartkit.practice.entry import Entry
    from chartkit.practice.item import Item
    from chartkit.practice.log import Log

WENT = "How it went"
WHAT = "What it was, where it is not of the plan"
LOG = "The log itself"

RECENT = 20
"""Entries that are listed where no day is named."""


class Asked(TypedDict):
    """What the options hand over."""

    clean: bool
    not_yet: bool
    done: bool
    tempo: Fraction | None
    note: str
    minutes: Fraction | None
    activity: str | None
    tune: str | None
    part: str | None
    kind: str | None
    family: str | None
    key: KeyTyped | None
    position: int | None
    player: str
    day: date | None
    undo: bool
    listing: bool
    as_json: bool
    exported: Path | None
    imported: Path | None
    force: bool
    rescue: bool


@click.command(
    "log",
    cls=GroupedCommand,
    epilog=examples(
        "chartkit log 2 3 --clean",
        'chartkit log 4 --not-yet --tempo 104 --note "late on the bridge"',
        "chartkit log all",
        "chartkit log --activity solo --tune my-tune.chart --part A --minutes 5",
        "chartkit log --export log.csv",
    ),
)
@click.argument("items", nargs=-1, metavar="[ITEM]...")
@under(WENT, "--clean", is_flag=True, help="It was clean.")
@under(WENT, "--not-yet", is_flag=True, help="It was not clean yet.")
@under(WENT, "--done", is_flag=True, help="It was played (the default).")
@under(WENT, "--tempo", type=TEMPO, help="At this tempo, in quarter notes a minute.")
@under(WENT, "--note", default="", metavar="TEXT", help="A few words.")
@under(WENT, "--minutes", type=MINUTES, help="How long it took.")
@under(WHAT, "--activity", metavar="NAME", help="Such as solo or scales, or a name of your own.")
@under(WHAT, "--tune", metavar="TUNE", help="Its file or its title.")
@under(WHAT, "--part", metavar="PART", help="A section such as A, a join such as A>B, or form.")
@under(WHAT, "--kind", metavar="NAME", help="Kind of exercise.")
@under(WHAT, "--family", metavar="NAME", help="Kind of scale.")
@under(WHAT, "--key", type=KEY, help="Such as Bb.")
@under(WHAT, "--position", type=POSITION, help="Such as 5 or V.")
@under(LOG, "--undo", is_flag=True, help="Take back what was noted last.")
@under(LOG, "--list", "listing", is_flag=True, help="List the last entries, or those of --day.")
@under(LOG, "--json", "as_json", is_flag=True, help="List them as JSON, for other programs.")
@under(LOG, "--export", "exported", type=FILE, help="Write the player's entries: .csv or .json.")
@under(LOG, "--import", "imported", type=FILE, help="Read entries; none comes in twice.")
@under(LOG, "--force", is_flag=True, help="Write over the file named with --export.")
@under(LOG, "--rescue", is_flag=True, help="Set a damaged log aside and keep all that is whole.")
@PLAYER
@click.option("--day", type=DAY, help="Of another day, such as 2026-03-01.")
def command(items: tuple[str, ...], **asked: Unpack[Asked]) -> None:
    """Note how today's practice went.

    ITEM is the number of an item of today's plan, or all for those that are not noted yet. Without
    one, at a terminal, it asks item by item, one key each. Anything else that was practised is
    noted by saying what it was.
    """
    with opened(rescue=asked["rescue"]) as log:
        if asked["undo"]:
            _undo(log, asked["player"])
        elif asked["exported"]:
            from chartkit.cli.log_files import export

            export(log, asked["player"], asked["exported"], force=asked["force"])
        elif asked["imported"]:
            from chartkit.cli.log_files import read_in

            read_in(log, asked["player"], asked["imported"])
        elif asked["listing"] or asked["as_json"]:
            _list(log, asked)
        elif not asked["rescue"]:
            _note(log, items, asked)


def _note(log: Log, items: tuple[str, ...], asked: Asked) -> None:
    from chartkit.cli import log_items

    day = asked["day"] or date.today()  # noqa: DTZ011 (the player's own day)
    player = asked["player"]
    _check_other(asked)
    _result(asked)
    if asked["activity"] is not None:
        if items:
            raise RequestError("name items of the plan or an activity, not both")
        for entry in log_items.record(log, [_other(log, asked, day)]):
            click.echo(log_items.told(entry))
        return
    planned = log_items.items_of(log, player, day)
    if items:
        still_open = log_items.open_items(log, player, day, planned)
        numbers = log_items.chosen(items, still_open, len(planned))
        _note_items(log, {number: planned[number - 1] for number in numbers}, asked, day)
    elif sys.stdin.isatty():
        from chartkit.cli.log_asking import ask

        click.echo(f"{ask(log, player, day, planned)} noted")
    else:
        raise RequestError(f"name items of the plan: numbers from 1 to {len(planned)}, or all")


def _note_items(log: Log, items: dict[int, Item], asked: Asked, day: date) -> None:
    """Note items of the plan that went alike; one step, which is taken back as one."""
    from chartkit.cli.log_items import of_items, record, went

    said = _said(asked)
    if not items:
        click.echo("everything of the plan is noted already")
        return
    record(log, of_items(tuple(items.values()), said, asked["player"], day))
    for number, item in items.items():
        click.echo(went(number, item, said))


def _check_other(asked: Asked) -> None:
    """Refuse words about something outside the plan that do not say what it was."""
    about = ("tune", "part", "kind", "family", "key", "position")
    if asked["activity"] is None and any(asked.get(name) is not None for name in about):
        raise RequestError("say what it was with --activity, such as --activity solo")


def _result(asked: Asked) -> Result:
    """Return how it went; refuse more than one answer."""
    answers: dict[Result, bool] = {
        "clean": asked["clean"],
        "not yet": asked["not_yet"],
        "done": asked["done"],
    }
    found = [result for result, chosen in answers.items() if chosen]
    if len(found) > 1:
        raise RequestError("say how it went once: --clean, --not-yet or --done")
    return found[0] if found else "done"


def _said(asked: Asked) -> Said:
    from chartkit.cli.log_items import Said

    minutes = asked["minutes"]
    seconds = None if minutes is None else round(minutes * 60)
    return Said(_result(asked), asked["tempo"], asked["note"].strip(), seconds)


def _other(log: Log, asked: Asked, day: date) -> Entry:
    """Return the entry of something that is not of the plan."""
    from chartkit.cli.log_open import tune_named
    from chartkit.practice.entry import Entry, now

    said = _said(asked)
    key = asked["key"]
    tune = asked["tune"]
    return Entry(
        player=asked["player"],
        day=day,
        at=now(),
        activity=(asked["activity"] or "").strip(),
        tune=None if tune is None else tune_named(log, tune),
        part=asked["part"],
        kind=asked["kind"],
        family=asked["family"],
        key=None if key is None else " ".join(filter(None, (str(key[0]), key[1]))),
        position=asked["position"],
        tempo=said.tempo,
        result=said.result,
        seconds=said.seconds or 0,
        note=said.note,
    )


def _undo(log: Log, player: str) -> None:
    from chartkit.cli.log_items import told

    taken = log.undo(player)
    for entry in taken:
        click.echo(f"taken back: {told(entry)}")
    if not taken:
        whose = "" if player == ME else f" for {player}"
        raise RequestError(f"there is nothing to take back{whose}")


def _list(log: Log, asked: Asked) -> None:
    from chartkit.cli.log_open import tell_players
    from chartkit.cli.log_table import as_json, as_table

    tell_players(log, asked["player"])
    day = asked["day"]
    entries = log.entries(asked["player"], day, day)
    if day is None:
        entries = entries[-RECENT:]
    if asked["as_json"]:
        click.echo(as_json(entries))
    elif entries:
        click.echo(as_table(entries))
    else:
        click.echo("nothing is noted yet", err=True)
