"""The rhythm of a chart's bar: a slash a beat, and what the band plays together written out.

Conventions: times in quarter notes from the measure's first beat. A pushed chord is a stemmed slash
an eighth early, tied over; a stop is a stemmed slash, struck short, and rests after it; N.C. is
rests.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise
from typing import Final, Literal

from chartkit.chart import Meter
from chartkit.notate.beams import beamed
from chartkit.notate.rhythm import pieces
from chartkit.notate.sheet import Event, NoteValue

EARLY: Final = Fraction(1, 2)
"""How much before its beat a pushed chord sounds."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Part of a bar under one chord.

    Parameters
    ----------
    start, end : Fraction
    kind : str
        "sound"; "silent"; "stop", struck and then silent.
    pushed : bool
        It is struck `EARLY`, in the stretch before, which writes it.
    """

    start: Fraction
    end: Fraction
    kind: Literal["sound", "silent", "stop"]
    pushed: bool = False


@dataclass(frozen=True, slots=True)
class _Stroke:
    start: Fraction
    end: Fraction
    kind: Literal["slash", "hit", "rest"]
    tied_back: bool = False
    tied_on: bool = False
    short: bool = False


def beat_slash(meter: Meter) -> Fraction:
    """Return the time of one slash: the meter's beat, or a quarter where the beat is longer."""
    return meter.unit if meter.unit <= Fraction(3, 2) else Fraction(1)


def bar_rest(length: Fraction) -> tuple[Event, ...]:
    """Return a whole measure of rest."""
    return (Event(Fraction(0), NoteValue(length), "bar rest"),)


def slashes(
    stretches: tuple[Stretch, ...], following: Stretch | None, meter: Meter
) -> tuple[Event, ...]:
    """Write the rhythm of one measure.

    Parameters
    ----------
    stretches : tuple of Stretch
        Of the measure, end to end.
    following : Stretch or None
        The next measure's first, where it is pushed and so struck in this one.
    meter : Meter
    """
    length = stretches[-1].end
    strokes = [
        stroke
        for stretch, after in pairwise((*stretches, following))
        if stretch
        for stroke in _strokes(stretch, after, beat_slash(meter))
    ]
    if all(stroke.kind == "rest" for stroke in strokes):
        return bar_rest(length)
    shift = max(meter.length - length, Fraction(0))
    events = tuple(e for stroke in _merged(strokes) for e in _written(stroke, meter, shift))
    return beamed(events, meter, shift)


def _strokes(stretch: Stretch, after: Stretch | None, beat: Fraction) -> Iterator[_Stroke]:
    """Yield a stretch's slashes, strokes and rests, and the early stroke of a pushed one after."""
    pushes = after is not None and after.pushed
    end = stretch.end - EARLY if pushes else stretch.end
    if stretch.start < end:
        yield from _body(stretch, end, beat)
    if after and pushes:
        stop = after.kind == "stop"
        yield _Stroke(max(end, stretch.start), stretch.end, "hit", tied_on=not stop, short=stop)


def _body(stretch: Stretch, end: Fraction, beat: Fraction) -> Iterator[_Stroke]:
    first = min(stretch.start + beat, end)
    if stretch.kind == "silent" or (stretch.kind == "stop" and stretch.pushed):
        yield _Stroke(stretch.start, end, "rest")
    elif stretch.kind == "stop":
        yield _Stroke(stretch.start, first, "hit", short=True)
        if first < end:
            yield _Stroke(first, end, "rest")
    else:
        yield from _beats(stretch, end, beat)


def _beats(stretch: Stretch, end: Fraction, beat: Fraction) -> Iterator[_Stroke]:
    """Yield a slash a beat; a stroke where a push ends or cuts a beat short."""
    start = stretch.start
    while start < end:
        stop = min(start + beat, end)
        arrives = stretch.pushed and start == stretch.start
        kind: Literal["slash", "hit"] = "hit" if arrives or stop - start < beat else "slash"
        yield _Stroke(start, stop, kind, tied_back=arrives)
        start = stop


def _merged(strokes: Iterable[_Stroke]) -> Iterator[_Stroke]:
    """Join neighbouring rests."""
    for kind, same in groupby(strokes, key=lambda stroke: stroke.kind):
        if kind == "rest":
            rests = list(same)
            yield replace(rests[0], end=rests[-1].end)
        else:
            yield from same


def _written(stroke: _Stroke, meter: Meter, shift: Fraction) -> Iterator[Event]:
    parts = pieces(stroke.start + shift, stroke.end + shift, meter, rest=stroke.kind == "rest")
    last = len(parts) - 1
    for n, part in enumerate(parts):
        yield Event(
            part.start - shift,
            part.value,
            stroke.kind,
            tied_back=stroke.kind == "hit" and (stroke.tied_back or n > 0),
            tied_on=stroke.kind == "hit" and (stroke.tied_on or n < last),
            short=stroke.short and n == 0,
        )
