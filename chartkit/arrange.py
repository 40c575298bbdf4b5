"""From a take to an arrangement: the passes, their accents, the count-in and the ending.

Conventions: beats are quarter notes from the first pass's first beat; the count-in and a pickup
lie before zero. Nothing here depends on chance.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import accumulate, pairwise
from math import ceil
from operator import itemgetter
from typing import Final, Literal, TypeVar

from chartkit.chart import Chart, Meter
from chartkit.ending import held_from, with_ending
from chartkit.errors import CannotPlay, RequestError, either
from chartkit.feel import Feel, feel
from chartkit.form import Form, PlayedBar, Sounding, bar_range, body, chorus, ended, excerpt, key_of
from chartkit.harmony import Span, spans
from chartkit.markers import markers
from chartkit.take import Take
from chartkit.theory.key import Key
from chartkit.track import Marker, TempoMap
from chartkit.transpose import transpose_to

_T = TypeVar("_T")

SLOWEST: Final = 30
FASTEST: Final = 400
"""Quarter notes a minute that can be asked for, both included."""

LONGEST: Final = 50_000
"""Bars in one arrangement."""

EARLY: Final = Fraction(1, 2)
"""How far a push comes before its beat, in quarter notes."""

HELD: Final = 3
"""Seconds that the last chord is held at least [common practice, no source]."""

LOOP_INTENSITY: Final = 0.6
ONE_CHORUS_INTENSITY: Final = 0.7
FIRST_INTENSITY: Final = 0.5
"""Of the first of several choruses; it rises evenly to 1 in the last [common practice]."""


@dataclass(frozen=True, slots=True)
class Accent:
    """A place where the band plays together: known to every player before it plays.

    A "push" sounds at `start` (already the early eighth) for the chord that follows; a "stop" is
    hit at `start` and silent until `start` + `length`.
    """

    start: Fraction
    length: Fraction
    kind: Literal["push", "stop"]


@dataclass(frozen=True, slots=True)
class Pass:
    """One time round.

    Parameters
    ----------
    spans : tuple of Span
        Starts are counted from the whole arrangement's beat zero.
    start, length : Fraction
        In quarter notes.
    chorus : int
        From 1.
    intensity : float
        0 (quiet) to 1 (full).
    accents : tuple of Accent
    """

    spans: tuple[Span, ...]
    start: Fraction
    length: Fraction
    chorus: int
    intensity: float
    accents: tuple[Accent, ...]


@dataclass(frozen=True, slots=True)
class Arrangement:
    """All that the players need to know.

    Parameters
    ----------
    passes : tuple of Pass
        In order, end to end from beat zero.
    lead_in : tuple of Span
        A pickup's chords, before zero; empty without one.
    count_in : Fraction
        Quarter notes of count-in before zero (a pickup lies in its end).
    tail : tuple of Span
        The held last chord after the last pass; empty in a loop.
    loop : bool
        The last pass leads into the first.
    rounds : int
        The passes are played so many times, each time alike (more than 1 only in a loop).
    tempo : TempoMap
    meters : tuple of (Fraction, Meter)
    keys : tuple of (Fraction, Key)
    markers : tuple of Marker
    title : str
    """

    passes: tuple[Pass, ...]
    lead_in: tuple[Span, ...]
    count_in: Fraction
    tail: tuple[Span, ...]
    loop: bool
    rounds: int
    tempo: TempoMap
    meters: tuple[tuple[Fraction, Meter], ...]
    keys: tuple[tuple[Fraction, Key], ...]
    markers: tuple[Marker, ...]
    title: str = ""

    @property
    def spans(self) -> tuple[Span, ...]:
        """Every span of every pass in order."""
        return tuple(span for one in self.passes for span in one.spans)


def arrange(take: Take) -> Arrangement:
    """Return what the players need to know to play a take.

    A loop has `take.times` passes, or with `take.same` one pass for so many rounds. Otherwise there
    are so many choruses (or times through the part asked for) and an ending.

    Raises
    ------
    RequestError
        The part, the tempo, the number of times or the feel asked for is not there or not
        sensible.
    CannotPlay
        The form cannot be played out, or a feel does not play one of its meters.
    """
    tempo = tempo_of(take)
    forms = _forms(_as_asked(take), take)
    starts = tuple(accumulate((form.length for form in forms[:-1]), initial=Fraction(0)))
    whole = _in_feel(_joined(forms, starts))
    if not take.loop:
        whole = with_ending(_from_nothing(whole), starts[-1])
    held = None if take.loop else held_from(whole)
    until = whole.length if held is None else held
    sounding = spans(whole, loop=take.loop)
    return Arrangement(
        passes=tuple(_passes(whole, sounding, (*starts, until), loop=take.loop)),
        lead_in=tuple(span for span in sounding if span.start < 0),
        count_in=take.count_in * _meter_at_zero(whole).length,
        tail=_tail([span for span in sounding if span.start >= until], tempo),
        loop=take.loop,
        rounds=take.times if take.loop and take.same else 1,
        tempo=TempoMap(((Fraction(0), tempo),)),
        meters=_changes(whole, [bar.meter for bar in whole.bars]),
        keys=_changes(whole, [bar.key for bar in whole.bars]),
        markers=markers(whole, starts, loop=take.loop),
        title=take.chart.title,
    )


def form_of(take: Take) -> Form:
    """Return the part of the tune that a take asks for, once round, in its key and feel.

    Raises
    ------
    RequestError
        The part asked for is not there.
    CannotPlay
        The form cannot be played out.
    """
    return _part(_as_asked(take), take)


def tempo_of(take: Take) -> Fraction:
    """Return the tempo of a take in quarter notes a minute: its own, the chart's, or the feel's.

    Raises
    ------
    RequestError
        It is outside `SLOWEST`-`FASTEST` or not a number, or the feel cannot be played.
    """
    asked = take.tempo
    if asked is None:
        own = take.chart.tempo
        asked = own.quarters if own else Fraction(_feel_of(take).tempo)
    if not SLOWEST <= asked <= FASTEST:
        raise RequestError(
            f"a tempo of {float(asked):g} is outside {SLOWEST}-{FASTEST} quarter notes a minute"
        )
    return Fraction(asked)


def tempo_warning(take: Take) -> str | None:
    """Return a sentence if the take's tempo is outside its feel's band, else None.

    Raises what `tempo_of` raises.
    """
    row, tempo = _feel_of(take), tempo_of(take)
    if row.slowest <= tempo <= row.fastest:
        return None
    return (
        f"{row.name} is at home at {row.slowest}-{row.fastest} quarter notes a minute; "
        f"at {float(tempo):g} it may not sound like itself"
    )


def _feel_of(take: Take) -> Feel:
    return feel(take.feel or take.chart.feel)


def _as_asked(take: Take) -> Chart:
    """Return the chart with its key settled, in the key and the feel asked for."""
    chart = replace(take.chart, key=key_of(take.chart))
    if take.key:
        chart = transpose_to(chart, take.key)
    if take.feel:
        same = tuple(replace(section, feel=None) for section in chart.sections)
        chart = replace(chart, feel=take.feel, sections=same)
    return chart


def _forms(chart: Chart, take: Take) -> tuple[Form, ...]:
    """Return what is played each time round."""
    if take.times < 1 or take.count_in < 0:
        raise RequestError("play at least once, after a count-in of no bars or more")
    times = 1 if take.loop and take.same else take.times
    whole_tune = not (take.loop or take.sections or take.bars)
    first = chorus(chart, 1, times) if whole_tune else _part(chart, take)
    if times * len(first.bars) > LONGEST:
        raise RequestError(f"that is longer than {LONGEST} bars: ask for fewer times round")
    later = range(2, times + 1)
    forms = (first, *(chorus(chart, number, times) if whole_tune else first for number in later))
    return forms if take.loop else (*forms[:-1], ended(forms[-1]))


def _part(chart: Chart, take: Take) -> Form:
    """Return the part of the tune that goes round."""
    if take.bars and take.sections:
        raise RequestError("ask for sections or for bars, not for both")
    if take.bars:
        return bar_range(chart, *take.bars)
    return excerpt(chart, take.sections) if take.sections else body(chart)


def _joined(forms: Sequence[Form], starts: Sequence[Fraction]) -> Form:
    """Put forms end to end; only the first may have a pickup."""
    bars = tuple(
        replace(bar, start=start + bar.start)
        for form, start in zip(forms, starts, strict=True)
        for bar in form.bars
    )
    return Form(bars, starts[-1] + forms[-1].length, forms[0].pickup)


def _in_feel(form: Form) -> Form:
    """Return the form with each feel under its own name, if they play the meters they meet."""
    return replace(form, bars=tuple(_bar_in_feel(bar) for bar in form.bars))


def _bar_in_feel(bar: PlayedBar) -> PlayedBar:
    row = feel(bar.feel)
    if str(bar.meter) not in row.meters:
        raise CannotPlay(
            f"bar {bar.source.number} is in {bar.meter}; {row.name} plays {either(row.meters)}"
        )
    return replace(bar, feel=row.name)


def _from_nothing(form: Form) -> Form:
    """Return the form with its first chord on the beat: nothing is played before it."""
    first, *rest = form.bars
    struck, *others = first.changes
    first = replace(first, changes=(replace(struck, pushed=False), *others))
    return replace(form, bars=(first, *rest))


def _passes(
    form: Form, sounding: Sequence[Span], bounds: Sequence[Fraction], *, loop: bool
) -> Iterator[Pass]:
    """Yield each time round, from each bound to the next, with its own spans and accents."""
    accents = tuple(_accents(form, loop=loop))
    first_spans = [bisect_left(sounding, bound, key=lambda span: span.start) for bound in bounds]
    inner = [bisect_left(accents, bound, key=itemgetter(0)) for bound in bounds[1:-1]]
    first_accents = [0, *inner, len(accents)]  # those of the pickup and of the held end too
    for i, (start, end) in enumerate(pairwise(bounds)):
        own = sounding[first_spans[i] : first_spans[i + 1]]
        last = own[-1].bar_start
        yield Pass(
            spans=tuple(replace(s, ends="chorus") if s.bar_start == last else s for s in own),
            start=start,
            length=end - start,
            chorus=i + 1,
            intensity=_intensity(i + 1, len(bounds) - 1, loop=loop),
            accents=tuple(a for _, a in accents[first_accents[i] : first_accents[i + 1]]),
        )


def _intensity(number: int, count: int, *, loop: bool) -> float:
    if loop:
        return LOOP_INTENSITY
    if count == 1:
        return ONE_CHORUS_INTENSITY
    return FIRST_INTENSITY + (1 - FIRST_INTENSITY) * (number - 1) / (count - 1)


def _accents(form: Form, *, loop: bool) -> Iterator[tuple[Fraction, Accent]]:
    """Yield each push and stop with the written beat of its chord.

    A pushed stop is one accent, a stop that comes early. A stop's silence lasts until the next
    chord sounds, at a loop's end until the first one comes round.
    """
    struck = [(bar.start + c.start, c) for bar in form.bars for c in bar.changes if not c.held]
    first, again = struck[0]
    end = (first + form.length, again) if loop else (form.length, replace(again, pushed=False))
    for (beat, change), (following, after) in pairwise([*struck, end]):
        start = _onset(beat, change)
        if change.stopped:
            yield beat, Accent(start, _onset(following, after) - start, "stop")
        elif change.pushed:
            yield beat, Accent(start, EARLY, "push")


def _onset(beat: Fraction, change: Sounding) -> Fraction:
    return beat - EARLY if change.pushed else beat


def _tail(held: Sequence[Span], tempo: Fraction) -> tuple[Span, ...]:
    """Join the spans of the last chord, and hold it by whole bars until `HELD` seconds are full."""
    if not held:
        return ()
    length = sum((span.length for span in held), Fraction(0))
    bar = held[-1].meter.length
    missing = max(0, ceil((HELD * tempo / 60 - length) / bar))
    return (replace(held[0], length=length + missing * bar, next_chord=None, ends="chorus"),)


def _meter_at_zero(form: Form) -> Meter:
    return next(bar.meter for bar in form.bars if bar.start >= 0)


def _changes(form: Form, values: Sequence[_T]) -> tuple[tuple[Fraction, _T], ...]:
    """Return the values, one a bar, where they change; the first holds from the very beginning."""
    found: list[tuple[Fraction, _T]] = []
    for bar, value in zip(form.bars, values, strict=True):
        if not found or value != found[-1][1]:
            found.append((bar.start, value))
    return tuple(found)
