"""From a take to an arrangement: the passes, their accents, the count-in and the ending.

Conventions: beats are quarter notes from the first pass's first beat; the count-in and a pickup
lie before zero. Nothing here depends on chance.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from math import ceil
from operator import itemgetter
from typing import Final, Literal, TypeVar

from chartkit.chart import Meter
from chartkit.controls.clicks import Click
from chartkit.controls.trading import Silence, Turn, cues_in, phrased, silences, turns
from chartkit.ending import cut_off, held_from, with_ending
from chartkit.errors import CannotPlay
from chartkit.feel import feel
from chartkit.form import Form, PlayedBar, Sounding, joined
from chartkit.harmony import Span, spans
from chartkit.markers import markers
from chartkit.rounds import Round, form_of, goes_alike, rounds, times_of
from chartkit.take import ChordsOn, Take
from chartkit.tempos import tempo_of, tempo_warning
from chartkit.theory.families import Family
from chartkit.theory.key import Key
from chartkit.track import Marker, TempoMap

__all__ = [
    "Accent",
    "Arrangement",
    "Pass",
    "arrange",
    "form_of",
    "tempo_of",
    "tempo_warning",
]

_T = TypeVar("_T")

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
    opening, closing : Fraction
        How much of it, in quarter notes, comes once: an intro before the time round proper, a
        closing section after it.
    """

    spans: tuple[Span, ...]
    start: Fraction
    length: Fraction
    chorus: int
    intensity: float
    accents: tuple[Accent, ...]
    opening: Fraction = Fraction(0)
    closing: Fraction = Fraction(0)

    @property
    def end(self) -> Fraction:
        """The next pass's first beat, or the held last chord's."""
        return self.start + self.length


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
    click : Click or None
        Where a click sounds while the music plays.
    silences : tuple of Silence
        Where parts do not sound, whatever they have thought of; no player needs to know.
    same : bool
        Passes alike have the same notes.
    long_chords : bool
        The chord instrument strikes each chord plainly and holds it.
    chords_on : {"guitar", "piano"} or None
        What it is; None for the feel's own.
    voicings : str or None
        The family that it keeps to; None for what is usual on it.
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
    click: Click | None = None
    silences: tuple[Silence, ...] = ()
    same: bool = False
    long_chords: bool = False
    chords_on: ChordsOn | None = None
    voicings: Family | None = None

    @property
    def spans(self) -> tuple[Span, ...]:
        """Every span of every pass in order."""
        return tuple(span for one in self.passes for span in one.spans)


def arrange(take: Take) -> Arrangement:
    """Return what the players need to know to play a take.

    A loop has `take.times` passes, or one pass for so many rounds where nothing differs from one to
    the next. Otherwise there are so many choruses (or times through the part asked for) and an
    ending.

    Raises
    ------
    RequestError
        The part, the tempo, the number of times or the feel asked for is not there or not
        sensible, or what is asked for does not go together.
    CannotPlay
        The form cannot be played out, or a feel does not play one of its meters.
    """
    played = rounds(take)
    whole = _in_feel(joined([one.form for one in played]))
    if not take.loop:
        whole = _with_end(_from_nothing(whole), played[-1], take)
    held = None if take.loop else held_from(whole)
    until = whole.length if held is None else held
    taken = _turns(played, take, until)
    sounding = phrased(spans(whole, loop=take.loop), taken)
    return Arrangement(
        passes=tuple(_passes(whole, sounding, played, until, take)),
        lead_in=tuple(span for span in sounding if span.start < 0),
        count_in=take.count_in * _meter_at_zero(whole).length,
        tail=_tail([span for span in sounding if span.start >= until], played[-1].tempo),
        loop=take.loop,
        rounds=times_of(take) if goes_alike(take) else 1,
        tempo=TempoMap(_where_new((one.start, one.tempo) for one in played)),
        meters=_where_new((bar.start, bar.meter) for bar in whole.bars),
        keys=_where_new((bar.start, bar.key) for bar in whole.bars),
        markers=markers(whole, played, taken, cues=_cues(taken, sounding, take), loop=take.loop),
        title=take.chart.title,
        click=take.click,
        silences=tuple(_silences(taken, sounding, take, until)),
        same=take.same,
        long_chords=take.long_chords,
        chords_on=take.chords_on,
        voicings=take.voicings,
    )


def _with_end(form: Form, last: Round, take: Take) -> Form:
    """Return all that is played with its last chord, to be held or cut off."""
    whole = with_ending(form, last.start + last.opening)
    return cut_off(whole) if take.last_chord == "cut" else whole


def _turns(played: Sequence[Round], take: Take, until: Fraction) -> tuple[Turn, ...]:
    """Return the turns of a take that trades; the held last chord is the band's."""
    if take.trading is None:
        return ()
    return turns([one.bars for one in played], take.trading.bars, until)


def _silences(
    taken: Sequence[Turn], sounding: Sequence[Span], take: Take, until: Fraction
) -> Iterator[Silence]:
    if take.trading:
        seam = until if take.loop else None
        yield from silences(taken, sounding, take.trading.behind, seam)


def _cues(taken: Sequence[Turn], sounding: Sequence[Span], take: Take) -> tuple[Fraction, ...]:
    return cues_in(taken, sounding, take.trading.behind) if take.trading else ()


def _in_feel(form: Form) -> Form:
    """Return the form with each feel under its own name, if they play the meters they meet."""
    return replace(form, bars=tuple(_bar_in_feel(bar) for bar in form.bars))


def _bar_in_feel(bar: PlayedBar) -> PlayedBar:
    row = feel(bar.feel)
    refusal = row.refuses(str(bar.meter), bar.source.number)
    if refusal:
        raise CannotPlay(refusal)
    return replace(bar, feel=row.name)


def _from_nothing(form: Form) -> Form:
    """Return the form with its first chord on the beat: nothing is played before it."""
    first, *rest = form.bars
    struck, *others = first.changes
    first = replace(first, changes=(replace(struck, pushed=False), *others))
    return replace(form, bars=(first, *rest))


def _passes(
    form: Form, sounding: Sequence[Span], played: Sequence[Round], until: Fraction, take: Take
) -> Iterator[Pass]:
    """Yield each time round with its own spans and accents, the last one up to the held chord."""
    bounds = [*(one.start for one in played), until]
    accents = tuple(_accents(form, loop=take.loop))
    first_spans = [bisect_left(sounding, bound, key=lambda span: span.start) for bound in bounds]
    inner = [bisect_left(accents, bound, key=itemgetter(0)) for bound in bounds[1:-1]]
    first_accents = [0, *inner, len(accents)]  # those of the pickup and of the held end too
    for i, one in enumerate(played):
        own = sounding[first_spans[i] : first_spans[i + 1]]
        last = own[-1].bar_start
        yield Pass(
            spans=tuple(replace(s, ends="chorus") if s.bar_start == last else s for s in own),
            start=one.start,
            length=bounds[i + 1] - one.start,
            chorus=i + 1,
            intensity=_intensity(i + 1, len(played), take),
            accents=tuple(a for _, a in accents[first_accents[i] : first_accents[i + 1]]),
            opening=one.opening,
            closing=max(Fraction(0), bounds[i + 1] - one.end),
        )


def _intensity(number: int, count: int, take: Take) -> float:
    if take.loop:
        return LOOP_INTENSITY
    if count == 1 or take.same:
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


def _where_new(values: Iterable[tuple[Fraction, _T]]) -> tuple[tuple[Fraction, _T], ...]:
    """Return (beat, value) where a value differs from the one before it; the first always."""
    found: list[tuple[Fraction, _T]] = []
    for beat, value in values:
        if not found or value != found[-1][1]:
            found.append((beat, value))
    return tuple(found)
