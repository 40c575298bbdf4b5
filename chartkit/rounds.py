"""From a take to what is played each time round: the bars, their key, the tempo.

Conventions: a time round is a chorus in a play-along; times round count from 1. Everything a player
can ask for that does not go together is refused here, in one sentence.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import count, takewhile
from typing import Final

from chartkit.chart import Chart
from chartkit.controls.intro import intro_bars
from chartkit.controls.keys import check_keys, key_in_turn
from chartkit.edges import edges, part, time_round
from chartkit.errors import RequestError
from chartkit.form import Form, PlayedBar, joined, key_of
from chartkit.take import Take
from chartkit.tempos import tempo_in_turn
from chartkit.theory.key import Key
from chartkit.transpose import transpose_to

LONGEST: Final = 50_000
"""Bars in one arrangement."""


@dataclass(frozen=True, slots=True)
class Round:
    """One time round.

    Parameters
    ----------
    form : Form
        From its own beat zero; a pickup only in the first.
    start : Fraction
        Its beat zero in all that is played.
    key : Key
    tempo : Fraction
        Quarter notes a minute.
    opening, closing : Fraction
        How much of it, in quarter notes, is an intro before the time round proper and a closing
        section after it.
    made_intro : bool
        The intro is not written in the chart.
    """

    form: Form
    start: Fraction
    key: Key
    tempo: Fraction
    opening: Fraction
    closing: Fraction
    made_intro: bool

    @property
    def first(self) -> Fraction:
        """The first beat of the time round proper, in all that is played."""
        return self.start + self.opening

    @property
    def end(self) -> Fraction:
        """The beat that follows on the time round proper."""
        return self.start + self.form.length - self.closing

    @property
    def bars(self) -> tuple[PlayedBar, ...]:
        """The bars of the time round proper, counted in all that is played."""
        shifted = (replace(bar, start=self.start + bar.start) for bar in self.form.bars)
        return tuple(bar for bar in shifted if self.first <= bar.start < self.end)


def rounds(take: Take) -> tuple[Round, ...]:
    """Return every time round of a take, in order; of a loop in which all go alike, one.

    Raises
    ------
    RequestError
        What is asked for is not there, not sensible, or does not go together.
    CannotPlay
        The form cannot be played out.
    """
    _check(take)
    asked, times = _as_asked(take), 1 if goes_alike(take) else times_of(take)
    made: dict[tuple[Key, bool, bool], Round] = {}
    played: list[Round] = []
    start = Fraction(0)
    for number in range(1, times + 1):
        key = key_in_turn(_home(asked), take.keys, number)
        place = key, number == 1, number == times
        if place not in made:
            made[place] = _round(transpose_to(asked, key), take, number, times)
            _check_length(made[place].form, times)
        one = replace(made[place], start=start, tempo=tempo_in_turn(take, number))
        played.append(one)
        start += one.form.length
    return tuple(played)


def goes_alike(take: Take) -> bool:
    """Tell whether a take is a loop in which nothing at all differs from one time to the next."""
    shifts = take.ladder or take.keys or take.trading or (take.click and take.click.one_bar_in > 1)
    return take.loop and take.same and not shifts


def times_of(take: Take) -> int:
    """Return how many times round a take is played: as asked, or as fit into its minutes.

    What has to fit is all that lies between the count-in and the end of the last time round; what
    a play-along may add to it, its last chord, rings on beyond. At least one is played.

    Raises what `rounds` raises.
    """
    _check(take)
    if take.minutes is None:
        return take.times
    asked, limit = _as_asked(take), take.minutes * 60
    places = ((1, 1), (1, 3), (2, 3), (3, 3))
    alone, first, between, last = (_round(asked, take, *place).form for place in places)
    fitting, before = 1, Fraction(0)
    for number in count(1):
        pace = 60 / tempo_in_turn(take, number)
        if before + (alone if number == 1 else last).length * pace <= limit:
            fitting = number
            _check_length(between, number)
        before += (first if number == 1 else between).length * pace
        if before > limit:
            break
    return fitting


def form_of(take: Take) -> Form:
    """Return the part of the tune that a take asks for, once round, in its (first) key and feel.

    Raises
    ------
    RequestError
        The part asked for is not there.
    CannotPlay
        The form cannot be played out.
    """
    _check(take)
    asked = _as_asked(take)
    return part(transpose_to(asked, key_in_turn(_home(asked), take.keys, 1)), take)


def _check(take: Take) -> None:
    """Raise RequestError unless what is asked for goes together."""
    if take.times < 1 or take.count_in < 0:
        raise RequestError("play at least once, after a count-in of no bars or more")
    if take.minutes is not None and take.minutes <= 0:
        raise RequestError("play for more than no minutes")
    if take.bars and take.sections:
        raise RequestError("ask for sections or for bars, not for both")
    if take.bars and "written" in (take.intro, take.ending):
        raise RequestError("a written intro or ending goes with sections, not with a range of bars")
    has_edges = take.ending or take.last_chord == "cut" or take.intro not in (None, "none")
    if take.loop and has_edges:
        raise RequestError("a loop that goes round has no intro and no end: ask for an ending too")
    check_keys(take.keys, take.key)


def _check_length(form: Form, times: int) -> None:
    if times * len(form.bars) > LONGEST:
        raise RequestError(f"that is longer than {LONGEST} bars: ask for fewer times round")


def _as_asked(take: Take) -> Chart:
    """Return the chart with its key settled, in the key and the feel asked for."""
    chart = replace(take.chart, key=key_of(take.chart))
    if take.key:
        chart = transpose_to(chart, take.key)
    if take.feel:
        same = tuple(replace(section, feel=None) for section in chart.sections)
        chart = replace(chart, feel=take.feel, sections=same)
    return chart


def _home(chart: Chart) -> Key:
    assert chart.key is not None  # `_as_asked` has settled it
    return chart.key


def _round(chart: Chart, take: Take, number: int, of: int) -> Round:
    """Return one time round at beat zero and at the take's first tempo."""
    form = time_round(chart, take, number, of)
    opening, closing = (set(labels) for labels in edges(chart, take))
    intro = intro_bars(part(chart, take), take.intro or "written") if number == 1 else ()
    if intro:
        form = joined((_form(intro), _form(bar for bar in form.bars if bar.start >= 0)))
    before = intro or _leading(form.bars, opening if number == 1 else set())
    after = _leading(form.bars[::-1], closing if number == of else set())
    return Round(
        form,
        Fraction(0),
        _home(chart),
        tempo_in_turn(take, 1),
        _length(before),
        _length(after),
        made_intro=bool(intro),
    )


def _form(bars: Iterable[PlayedBar]) -> Form:
    own = tuple(bars)
    return Form(own, _length(own))


def _leading(bars: Iterable[PlayedBar], labels: set[str]) -> tuple[PlayedBar, ...]:
    """Return the first bars, without a pickup, as far as they are of sections of these labels."""
    counted = (bar for bar in bars if bar.start >= 0)
    return tuple(takewhile(lambda bar: bar.source.section in labels, counted))


def _length(bars: Iterable[PlayedBar]) -> Fraction:
    return sum((bar.length for bar in bars), Fraction(0))
