"""A routine as it is heard: arranged like a tune, so that a click and the clock serve it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TypeVar

from chartkit.arrange import LOOP_INTENSITY, Arrangement, Pass
from chartkit.controls.clicks import Click
from chartkit.harmony import Span
from chartkit.technique.passage import METER
from chartkit.technique.routine import Routine
from chartkit.theory.symbol import write_symbol
from chartkit.track import Marker, TempoMap

T = TypeVar("T")


def arranged(
    made: Routine, tempo: Fraction, *, times: int = 1, count_in: int = 0, click: bool = True
) -> Arrangement:
    """Return a routine once round as a loop.

    Parameters
    ----------
    made : Routine
    tempo : Fraction
        Quarter notes a minute.
    times : int
        Times round, each alike.
    count_in : int
        Bars.
    click : bool
        On every beat while it goes round.
    """
    spans = made.line.spans
    length = spans[-1].start + spans[-1].length
    return Arrangement(
        passes=(Pass(spans, Fraction(0), length, 1, LOOP_INTENSITY, ()),),
        lead_in=(),
        count_in=count_in * METER.length,
        tail=(),
        loop=True,
        rounds=times,
        tempo=TempoMap(((Fraction(0), tempo),)),
        meters=((Fraction(0), METER),),
        keys=tuple(_changes(spans, [span.key for span in spans])),
        markers=tuple(_markers(spans, length)),
        title=made.title,
        click=Click() if click else None,
    )


def _markers(spans: Sequence[Span], length: Fraction) -> Iterator[Marker]:
    """Yield the loop's ends, each passage's label and each chord's symbol, in order of beat."""
    yield Marker(Fraction(0), "Loop start", "loop")
    sections = dict(_changes(spans, [span.bar.section for span in spans]))
    for span in spans:
        if span.start in sections:
            yield Marker(span.start, sections[span.start], "section")
        if span.new and span.chord:
            yield Marker(span.start, write_symbol(span.chord), "chord")
    yield Marker(length, "Loop end", "loop")


def _changes(spans: Sequence[Span], values: Sequence[T]) -> Iterator[tuple[Fraction, T]]:
    """Yield the values, one a span, where they change."""
    for number, (span, value) in enumerate(zip(spans, values, strict=True)):
        if number == 0 or value != values[number - 1]:
            yield span.start, value
