"""Today's plan from the player's own folder: the log, the tunes under way, the template."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path
from shlex import quote
from typing import Final

from chartkit.arrange import arrange, form_of
from chartkit.chart import Chart
from chartkit.errors import CannotPlay, ChartkitError, RequestError
from chartkit.exercise.asked import line_asked
from chartkit.harmony import spans
from chartkit.make_today.facts import content_hash, tune_facts
from chartkit.make_today.items import item_take, measure_with
from chartkit.make_today.kept import digest_of
from chartkit.make_today.phrases import fits, own_phrases
from chartkit.phrase.kept import torn
from chartkit.player import range_of
from chartkit.practice.day import PhraseFacts
from chartkit.practice.entry import ME
from chartkit.practice.growth import finished_on
from chartkit.practice.item import Item
from chartkit.practice.log import Log, Tune, open_log
from chartkit.practice.order import ORDERS, Order
from chartkit.practice.past import Past, past_of
from chartkit.practice.plan import Plan, plan, read_plan, write_plan
from chartkit.practice.template import Template, read_template, usual
from chartkit.practice.tune import TuneFacts
from chartkit.take import Take

TEMPLATE: Final = "today.toml"
"""The player's own template, in the folder."""

USUAL_MINUTES: Final = 10

LOOK_BACK: Final = timedelta(days=400)
"""Kept plans that count in rotations; older days are known by their entries alone."""

GOAL: Final = "goal "
"""Begins the name of the setting that holds a tune's goal tempo."""

_MOST_TRIES: Final = 20


@dataclass(frozen=True, slots=True)
class Named:
    """A chart that the player names, and where it lies; no path for one that lies nowhere."""

    chart: Chart
    path: str | None


@dataclass(frozen=True, slots=True)
class Asked:
    """What a player asks of a day; None for what was asked before, or is usual.

    Parameters
    ----------
    minutes : int or None
    order : {"blocked", "mixed"} or None
        Is remembered.
    goal : Fraction or None
        Of the first tune named, in quarter notes a minute; is remembered.
    named : tuple of Named
        Are taken up; the first one is today's tune.
    """

    minutes: int | None = None
    order: Order | None = None
    goal: Fraction | None = None
    named: tuple[Named, ...] = ()


@dataclass(frozen=True, slots=True)
class Today:
    """A day's plan and what it takes to make it.

    Parameters
    ----------
    plan : Plan
    charts : tuple of (str, Chart)
        Of its tunes, by id.
    order : {"blocked", "mixed"}
    news : tuple of str
        Sentences that the player should hear.
    """

    plan: Plan
    charts: tuple[tuple[str, Chart], ...]
    order: Order
    news: tuple[str, ...] = ()

    def chart(self, item: Item) -> Chart | None:
        """Return the chart of an item's tune; None for technique."""
        return dict(self.charts)[item.tune] if item.tune else None


Load = Callable[[str], Chart]
"""Reads the chart at a path, or raises a `ChartkitError`."""


def today_plan(
    folder: Path,
    day: date,
    load: Load,
    demo: Named,
    asked: Asked | None = None,
    *,
    player: str = ME,
    keep: bool = True,
) -> Today:
    """Return the plan of a day, the same one whenever it is asked for.

    Parameters
    ----------
    folder : Path
        See `chartkit.home.home`.
    day : date
    load : callable
        Reads the chart of a tune that the log knows.
    demo : Named
        Stands in where no tune is under way.
    asked : Asked, optional
    player : str
    keep : bool
        Keep the plan, so that what is noted during the day does not change it.

    Raises
    ------
    OutputError
        The log cannot be opened or written.
    RequestError
        The minutes, or the player's template, are not sensible.
    """
    asked = asked or Asked()
    with open_log(folder) as log:
        news = list(log.news)
        first = _taken_up(log, player, day, asked)
        template = _template(folder)
        charts = _charts(log, player, load, demo, news)
        facts = tuple(tune_facts(chart, tune) for tune, chart in charts)
        settings = log.settings(player)
        kept = _kept(log, player, day)
        order: Order = asked.order or ("mixed" if settings.get("order") == "mixed" else "blocked")
        minutes = asked.minutes or (kept.minutes if kept else USUAL_MINUTES)
        goals = tuple(_goals(settings, facts))
        chosen = first or (kept.asked.partition(" ")[0] if kept else "")
        phrases = tuple(own_phrases(folder))
        news += [
            f"the phrase {path.stem} cannot be read: see `chartkit phrase check {quote(str(path))}`"
            for path in torn(folder)
        ]
        words = f"{chosen} {digest_of(minutes, order, template, facts, goals, phrases)}"
        if kept and kept.asked == words:
            return Today(kept, charts, order, (*news, *_nothing_new(log, player)))
        past = _past(log, player, day)
        made = _playable(
            lambda without: plan(
                day,
                minutes,
                facts,
                past,
                measure_with(dict(charts)),
                player=player,
                template=template,
                order=order,
                goals=goals,
                today=chosen or None,
                phrases=phrases,
                without=without,
            ),
            dict(charts),
            phrases,
        )
        made = replace(made, asked=words)
        for tune, on in _finished(facts, past, dict(goals), template):
            if tune in log.under_way(player):
                log.finish(player, tune, on)
        if keep:
            log.keep_plan(player, day, write_plan(made))
        return Today(made, charts, order, (*news, *_nothing_new(log, player)))


def _taken_up(log: Log, player: str, day: date, asked: Asked) -> str | None:
    """Take up the tunes that are named and keep what is to be remembered; return the first's id."""
    ids = [
        log.tune_id(content_hash(one.chart), one.path, one.chart.title or "Untitled")
        for one in asked.named
    ]
    for tune in ids:
        if tune not in log.finished(player):
            log.start(player, tune, day)
    if asked.goal is not None:
        if not ids:
            raise RequestError("a goal is for a tune: name its file too")
        log.set(player, f"{GOAL}{ids[0]}", str(asked.goal))
    if asked.order is not None:
        log.set(player, "order", asked.order)
    return ids[0] if ids else None


def _charts(
    log: Log, player: str, load: Load, demo: Named, news: list[str]
) -> tuple[tuple[str, Chart], ...]:
    """Return the charts of the tunes taken up, else the demo; say which cannot be found."""
    found = []
    taken_up = (*log.under_way(player), *log.finished(player))
    for tune in taken_up:
        chart = _found(log, tune, load)
        if chart is None:
            news.append(_cannot_be_read(tune, log.tune(tune)))
        else:
            found.append((tune, chart))
    if found:
        return tuple(found)
    title = demo.chart.title
    state = "can be read" if taken_up else "is under way"
    news.append(f"no tune of yours {state}, so a demo tune stands in: {title}")
    return ((log.tune_id(content_hash(demo.chart), demo.path, title), demo.chart),)


def _cannot_be_read(tune: str, known: Tune | None) -> str:
    """Return what to do about a tune whose chart is not there, or holds faults."""
    title = known.title if known else tune
    there = (path for path in (known.paths if known else ()) if Path(path).is_file())
    if path := next(there, None):
        return f"the chart of {title} cannot be read: see `chartkit check {quote(path)}`"
    return (
        f"the chart of {title} cannot be read where it was: name its file again, or set it aside "
        f"with `chartkit today --set-aside {quote(title)}`"
    )


def _found(log: Log, tune: str, load: Load) -> Chart | None:
    known = log.tune(tune)
    for path in known.paths if known else ():
        try:
            return load(path)
        except ChartkitError:
            continue
    return None


def _template(folder: Path) -> Template:
    path = folder / TEMPLATE
    if not path.exists():
        return usual()
    try:
        return read_template(path.read_text(encoding="utf-8"), str(path))
    except (OSError, UnicodeDecodeError) as error:
        raise RequestError(f"{path} cannot be read: {error}") from error


def _goals(
    settings: Mapping[str, str], facts: Sequence[TuneFacts]
) -> Iterator[tuple[str, Fraction]]:
    for one in facts:
        if goal := settings.get(f"{GOAL}{one.id}"):
            yield one.id, Fraction(goal)


def _kept(log: Log, player: str, day: date) -> Plan | None:
    """Return the plan that was kept for a day; None for one of another version."""
    text = log.plan(player, day)
    try:
        return read_plan(text) if text else None
    except RequestError:
        return None


def _past(log: Log, player: str, day: date) -> Past:
    plans = []
    for on, text in log.plans(player, day - LOOK_BACK):
        try:
            plans.append((on, read_plan(text).items))
        except RequestError:  # of another version: its entries tell
            continue
    return past_of(day, log.entries(player), plans)


def _playable(
    made: Callable[[frozenset[tuple[str, str, str]]], Plan],
    charts: Mapping[str, Chart],
    phrases: Sequence[PhraseFacts],
) -> Plan:
    """Return a plan whose lines all exist: those that do not are left out and it is made again."""
    without: frozenset[tuple[str, str, str]] = frozenset()
    for _ in range(_MOST_TRIES):
        tried = made(without)
        wrong = {
            (item.tune, item.part, one.kind)
            for item in tried.items
            if item.tune and item.part
            for one in (item, *_like(item, phrases))
            if not _exists(one, charts[item.tune])
        }
        if without.issuperset(wrong):
            return tried
        without |= wrong
    raise CannotPlay("no lines can be found for this tune today; name another one")


def _like(item: Item, phrases: Sequence[PhraseFacts]) -> Iterator[Item]:
    """Yield the other phrases in place of one, so that all that do not fit are known at once."""
    if item.phrase:
        yield from (replace(item, phrase=one.id, kind=one.title) for one in phrases)


def _exists(item: Item, chart: Chart) -> bool:
    take = item_take(item, chart)
    if item.phrase:
        return fits(item.phrase, take, item.position)
    if take.exercise is None:
        _check_feel(take)
        return True
    low, high = range_of(take.exercise.player, take.exercise.position)
    try:
        line_asked(spans(form_of(take), loop=True), take.exercise, low, high)
    except CannotPlay:
        return False
    return True


def _nothing_new(log: Log, player: str) -> Iterator[str]:
    """Yield what to do where a player has finished every tune."""
    if log.finished(player) and not log.under_way(player):
        yield "your tunes are finished, and come back: take up another with `chartkit today FILE`"


def _check_feel(take: Take) -> None:
    """See that the band can play a take, so that a day that is told can also be made."""
    try:
        arrange(take)
    except CannotPlay as error:
        raise CannotPlay(
            f"{take.chart.title}: {error}; write another feel in its chart, or set it aside"
        ) from error


def _finished(
    facts: Sequence[TuneFacts], past: Past, goals: Mapping[str, Fraction], template: Template
) -> Iterator[tuple[str, date]]:
    """Yield the tunes that are finished, and since when."""
    for one in facts:
        on = finished_on(one, past.tries, goals.get(one.id, one.tempo), template)
        if on is not None:
            yield one.id, on


def order_words(order: Order) -> str:
    """Return what an order is."""
    return f"{order}: {ORDERS[order]}"
