"""An item of the day as what stands on the music stand: its page and its sound."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Final
from zlib import crc32

from chartkit.arrange import form_of
from chartkit.chart import Chart, Tempo
from chartkit.controls.trading import Trading
from chartkit.errors import RequestError
from chartkit.form import key_of
from chartkit.guitar.fretboard import numeral
from chartkit.instrument import GUITAR
from chartkit.make_chorus import chorus_playable
from chartkit.make_routine import routine_performance, routine_sheet
from chartkit.make_today.lines import LINES
from chartkit.make_today.parts import part_take
from chartkit.make_today.phrases import phrase_of
from chartkit.playable import Playable, page, playable
from chartkit.practice.day import Measure
from chartkit.practice.item import Item
from chartkit.take import BAND, Take
from chartkit.technique.chords import KINDS, chords
from chartkit.technique.diatonic import FAMILIES
from chartkit.technique.figures import read_figure
from chartkit.technique.routine import Routine
from chartkit.technique.scales import Where, scales
from chartkit.technique.warmup import warm_up
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName
from chartkit.track import Part

if TYPE_CHECKING:
    from chartkit.notate import Sheet

WITHOUT: Final[dict[str, tuple[Part, ...]]] = {"with bass and drums": ("chords",)}
"""Who is silent behind a solo."""

FOURS: Final = "trading fours with the band"


def item_playable(
    item: Item,
    chart: Chart | None = None,
    *,
    tempo: Fraction | None = None,
    key: str | None = None,
) -> Playable:
    """Return an item as page and sound, going round.

    Parameters
    ----------
    item : Item
    chart : Chart, optional
        Its tune's; technique needs none.
    tempo : Fraction, optional
        Quarter notes a minute; the item's own by default.
    key : str, optional
        Such as ``Bb`` or ``C minor``, in place of the item's.

    Raises
    ------
    RequestError
        The chart is missing, or has no such part.
    CannotPlay
        The line does not exist there.
    """
    asked = replace(item, tempo=tempo or item.tempo, keys=(key,) if key else item.keys)
    if item.tune is None:
        made = routine_of(asked)
        heard = routine_performance(
            made, asked.tempo, times=asked.rounds, count_in=_count_in(asked, Fraction(4))
        )
        return Playable(item.title, _headed(routine_sheet(made, asked.tempo), asked), heard)
    take = item_take(asked, chart)
    if item.phrase:
        made_of = chorus_playable(phrase_of(item.phrase), take, item.position)
        return replace(made_of, title=item.title, sheet=_headed(made_of.sheet, asked))
    if take.exercise:
        made_of = playable(take)
        return replace(made_of, title=item.title, sheet=_headed(made_of.sheet, asked))
    from chartkit.make import performance

    return Playable(item.title, item_page(asked, chart), performance(take))


def item_page(item: Item, chart: Chart | None = None) -> Sheet:
    """Return an item's page alone; raises what `item_playable` raises."""
    if item.tune is None:
        return _headed(routine_sheet(routine_of(item), item.tempo), item)
    take = item_take(item, chart)
    if item.phrase:
        return _headed(chorus_playable(phrase_of(item.phrase), take, item.position).sheet, item)
    if take.exercise is None:
        assert chart is not None  # `item_take` has seen to it
        take = replace(take, chart=chart, sections=())
    return _headed(page(take), item)


def item_take(item: Item, chart: Chart | None) -> Take:
    """Return an item on a tune as a take, its phrase apart; raises what `item_playable` raises."""
    if chart is None:
        raise RequestError(f"{item.title}: the tune's chart is needed; name its file again")
    take = part_take(chart, item.part or "form")
    bar = form_of(take).bars[0].length
    take = replace(
        take,
        key=_key(item, chart),
        tempo=item.tempo,
        times=item.rounds,
        count_in=_count_in(item, bar),
        seed=crc32(item.key.encode()),
    )
    if item.activity == "solo":
        silent = WITHOUT.get(item.kind, ())
        return replace(
            take,
            parts=tuple(part for part in BAND if part not in silent),
            trading=Trading(4) if item.kind == FOURS else None,
        )
    if item.phrase:
        return take
    try:
        line = LINES[item.kind]
    except KeyError:
        raise RequestError(f"there is no line {item.kind}: ask for the day again") from None
    return replace(take, exercise=replace(line, position=item.position))


def routine_of(item: Item) -> Routine:
    """Return an item of technique as a routine."""
    plain = Item(item.activity, "", item.kind, Fraction(1), family=item.family, keys=item.keys)
    return _routine(replace(plain, position=item.position, figured=item.figured))


def measure_with(charts: Mapping[str, Chart]) -> Measure:
    """Return a function that tells how long items are; see `chartkit.practice.day.Measure`.

    Parameters
    ----------
    charts : mapping
        By the ids of their tunes.
    """

    @cache
    def through(tune: str, part: str) -> tuple[Fraction, Fraction]:
        form = form_of(part_take(charts[tune], part))
        return form.length, form.bars[0].length

    def measure(item: Item) -> tuple[Fraction, Fraction]:
        if item.tune is not None:
            return through(item.tune, item.part or "form")
        last = routine_of(item).line.spans[-1]
        return last.start + last.length, last.meter.length

    return measure


@cache
def _routine(item: Item) -> Routine:
    """Return a routine; kept, for planning measures one for each size that an item could have."""
    if item.activity == "warm-up":
        patterns = [tuple(map(int, pattern.split("-"))) for pattern in item.kind.split()]
        return warm_up(patterns, GUITAR, item.position or 1)
    family = FAMILIES[item.family or ""]
    keys = [Key(NoteName.parse(key.split(maxsplit=1)[0]), family.mode) for key in item.keys]
    if item.activity == "scales":
        where = Where(item.position, GUITAR.low, GUITAR.high)
        return scales(keys, family, read_figure(item.kind), GUITAR, where, figured=item.figured)
    name, _, strings = item.kind.partition(" ")
    return chords(keys, family, KINDS[name], GUITAR, strings=[int(s) for s in strings.split("-")])


def _key(item: Item, chart: Chart) -> Key | None:
    home = key_of(chart)
    if not item.keys:
        return None
    asked = Key(NoteName.parse(item.keys[0].split(maxsplit=1)[0]), home.mode)
    return None if asked == home else asked


def _count_in(item: Item, bar: Fraction) -> int:
    """Return an item's count-in in bars."""
    return int(item.count_in / bar)


def _headed(sheet: Sheet, item: Item) -> Sheet:
    """Return a sheet under its item's title, with where it is, how long it lasts, and why."""
    place = f"position {numeral(item.position)}" if item.position else ""
    words = (sheet.subtitle if item.activity == "solo" else "", place, clock(item.seconds))
    why = (f"Why today: {item.why}",) if item.why else ()
    return replace(
        sheet,
        title=item.title,
        subtitle=", ".join(filter(None, words)),
        tempo=Tempo(item.tempo),
        notes=(*sheet.notes, *why),
    )


def clock(seconds: Fraction) -> str:
    """Return a time as minutes and seconds.

    >>> clock(Fraction(599, 6))
    '1:40'
    """
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"
