"""Today's routine on the stand: its items as works, how they went into the log.

The day's plan is made and kept by `chartkit.make_today`, so that the stand and the command line go
through the same day. An item goes round here for as long as the player wants, so its sound is once
round (twice where taking turns needs it).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

from chartkit.chart import Chart
from chartkit.errors import RequestError
from chartkit.instrument import GUITAR
from chartkit.make_today import Named, Today, item_page, item_playable, today_plan
from chartkit.make_today.items import FOURS, clock, item_take
from chartkit.notate import Sheet
from chartkit.notate.symbols import printed_name
from chartkit.practice.entry import ME, Entry, Result, now
from chartkit.practice.item import Item, entries_of
from chartkit.practice.log import open_log
from chartkit.stand.asked import Asked
from chartkit.stand.parts import part_of, parts_of
from chartkit.stand.work import Work, scale_of_key, work_from, work_of
from chartkit.technique.diatonic import FAMILIES, scale_of

CHANGEABLE: Final = frozenset({"tempo", "key", "countIn", "staves"})
"""What may be asked of an item; its staves and its count-in are its own whatever is asked."""

PARTS: Final = frozenset({"sections", "bars"})
"""What may be asked of a solo too: then the band plays that part, and nobody takes turns."""


class Routine:
    """A player's day; may be asked from several threads.

    Parameters
    ----------
    folder : Path
        See `chartkit.home.home`.
    load : callable
        Reads the chart at a path that the log knows.
    demo : Chart
        Stands in where no tune is under way.
    player : str
    """

    def __init__(
        self, folder: Path, load: Callable[[str], Chart], demo: Chart, player: str = ME
    ) -> None:
        self._folder, self._load, self._player = folder, load, player
        self._demo = Named(demo, None)

    def told(self) -> dict[str, Any]:
        """Return the day as the page has it; see `chartkit.stand.programme`."""
        made, results = self._today(), self._results()
        items = [_told(item, results.get(item.key)) for item in made.plan.items]
        title = f"{made.plan.day:%A} {made.plan.day.day} {made.plan.day:%B %Y}"
        return {"title": title, "items": items, "news": list(made.news)}

    def about(self, asked: Asked) -> object:
        """Return what an item's work is made from."""
        item, chart = self._item(asked)
        return replace(item, why=""), chart

    def work(self, asked: Asked) -> Work:
        """Return an item as something to practise, at the tempo and in the key asked for.

        Raises
        ------
        RequestError
            There is no such item today, or something of it was asked that is its own.
        CannotPlay
            The line does not exist there.
        """
        told = asked.told
        item, chart = self._item(asked)
        kind = _kind(item)
        if own := sorted(told.keys() - CHANGEABLE - (PARTS if kind == "chart" else frozenset())):
            raise RequestError(f"an item of the routine has its own {own[0]}: ask for the tune")
        keys = (str(told["key"]),) if "key" in told else item.keys
        wanted = replace(item, tempo=told.get("tempo", item.tempo), keys=keys)
        if chart and told.keys() & PARTS:
            return _part(replace(wanted, rounds=1), chart, told)
        made = item_playable(replace(wanted, rounds=2 if item.kind == FOURS else 1), chart)
        work = work_from(replace(made, sheet=_timeless(item_page(wanted, chart), wanted)), kind)
        if chart:
            work = replace(
                work, feel=chart.feel, sections=parts_of(chart) if kind == "chart" else ()
            )
        return _on_the_neck(work, item)

    def note(
        self, asked: Asked, result: Result, seconds: int, tempo: Fraction | None, note: str
    ) -> None:
        """Note how an item went.

        Raises
        ------
        RequestError
            There is no such item today.
        OutputError
            The log cannot be written.
        """
        item, _ = self._item(asked)
        key = asked.told.get("key")
        played = replace(item, keys=(str(key),)) if key else item
        entries = entries_of(played, self._player, _day(), now(), result, tempo=tempo, note=note)
        self.record(_lasting(entries, seconds, item.key))

    def record(self, entries: tuple[Entry, ...]) -> None:
        """Write entries into the log."""
        with open_log(self._folder) as log:
            log.record(entries)

    def entry(self, tune: tuple[str, str | None, str] | None = None, **fields: Any) -> Entry:  # noqa: ANN401
        """Return an entry of now.

        Parameters
        ----------
        tune : tuple or None
            What the log knows a tune by from now on: see `chartkit.practice.log.Log.tune_id`.
        fields : object
            Of the entry.
        """
        name = None
        if tune:
            with open_log(self._folder) as log:
                name = log.tune_id(*tune)
        return Entry(player=self._player, day=_day(), at=now(), tune=name, **fields)

    def _today(self) -> Today:
        return today_plan(self._folder, _day(), self._load, self._demo, player=self._player)

    def _item(self, asked: Asked) -> tuple[Item, Chart | None]:
        made = self._today()
        for item in made.plan.items:
            if item.key == asked.item:
                return item, made.chart(item)
        raise RequestError("there is no such item today: load the page again")

    def _results(self) -> dict[str, Result]:
        """Return how the items went today, each as it was noted last."""
        with open_log(self._folder) as log:
            return {one.item: one.result for one in log.entries(self._player, _day(), _day())}


def _on_the_neck(work: Work, item: Item) -> Work:
    """Return a work with what the neck shows of it: finger patterns have no key and no scale."""
    if item.activity == "warm-up":
        return replace(work, turns=tuple(replace(turn, key=None) for turn in work.turns))
    if not item.position:
        return work
    keys = work.performance.keys
    if item.family:
        family = FAMILIES[item.family]
        names = (f"{printed_name(key.tonic)} {family.name}" for _, key in keys)
        scales = tuple(
            (start, name, scale_of(key, family))
            for (start, key), name in zip(keys, names, strict=True)
        )
    else:
        scales = tuple(scale_of_key(start, key) for start, key in keys)
    return replace(work, position=item.position, tuning=GUITAR.tuning, scales=scales)


def _part(item: Item, chart: Chart, told: Mapping[str, Any]) -> Work:
    """Return a part of a tune to solo over."""
    take = item_take(item, chart)
    whole = replace(take, chart=chart, sections=(), bars=told.get("bars"), trading=None)
    return replace(work_of(part_of(whole, told.get("sections", ()))), sections=parts_of(chart))


def _timeless(sheet: Sheet, item: Item) -> Sheet:
    """Return an item's page without its time, which the stand counts down."""
    return replace(
        sheet, subtitle=sheet.subtitle.removesuffix(clock(item.seconds)).removesuffix(", ")
    )


def _day() -> date:
    return date.today()  # noqa: DTZ011 (the player's own calendar day)


def _told(item: Item, result: Result | None) -> dict[str, Any]:
    return {
        "key": item.key,
        "title": item.title,
        "activity": item.activity,
        "why": item.why,
        "seconds": round(float(item.seconds), 3),
        "tempo": float(item.tempo),
        "request": {"item": item.key},
        "result": result,
    }


def _kind(item: Item) -> str:
    if item.tune is None:
        return "technique"
    if item.phrase:
        return "phrase"
    return "chart" if item.activity == "solo" else "exercise"


def _lasting(entries: tuple[Entry, ...], seconds: int, item: str) -> tuple[Entry, ...]:
    """Return entries that last so long together."""
    shares = [seconds * n // len(entries) for n in range(len(entries) + 1)]
    lengths = (b - a for a, b in pairwise(shares))
    return tuple(
        replace(entry, seconds=length, item=item)
        for entry, length in zip(entries, lengths, strict=True)
    )
