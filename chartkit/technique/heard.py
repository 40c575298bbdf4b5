"""A routine as it is heard: arranged like a tune, so that click, band and clock serve it.

Conventions: the band plays a routine's own chords where every one begins on a beat; where there are
none, or where they change between beats, it plays the chord of the tonic under each key.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final, TypeVar

from chartkit.arrange import LOOP_INTENSITY, Arrangement, Pass
from chartkit.controls.clicks import Click
from chartkit.errors import RequestError
from chartkit.harmony import Span
from chartkit.technique.diatonic import diatonic_chord
from chartkit.technique.routine import Routine
from chartkit.theory.chord import Chord
from chartkit.theory.symbol import write_symbol
from chartkit.track import Marker, TempoMap

T = TypeVar("T")

SEVEN: Final = 7
"""Notes in a scale that has a key; a chromatic one has more."""


def arranged(
    made: Routine,
    tempo: Fraction,
    *,
    times: int = 1,
    count_in: int = 0,
    click: Click | None = None,
    band: bool = False,
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
    click : Click or None
        Where a click sounds while it goes round.
    band : bool
        The band plays with it.

    Raises
    ------
    RequestError
        The band is asked to play with a warm-up.
    """
    spans = made.line.spans
    length = spans[-1].start + spans[-1].length
    heard = accompanied(spans) if band else spans
    return Arrangement(
        passes=(Pass(heard, Fraction(0), length, 1, LOOP_INTENSITY, ()),),
        lead_in=(),
        count_in=count_in * spans[0].meter.length,
        tail=(),
        loop=True,
        rounds=times,
        tempo=TempoMap(((Fraction(0), tempo),)),
        meters=((Fraction(0), spans[0].meter),),
        keys=tuple(_changes(spans, [span.key for span in spans])),
        markers=tuple(_markers(spans, length)),
        title=made.title,
        click=click,
    )


def accompanied(spans: Sequence[Span]) -> tuple[Span, ...]:
    """Return the spans of a routine with the chords that the band plays under it.

    Raises
    ------
    RequestError
        There is no key: it is a warm-up.
    """
    on_beats = all(span.chord and _on_a_beat(span) for span in spans if span.new or not span.chord)
    chords = [span.chord if on_beats and span.chord else _tonic_chord(span) for span in spans]
    return tuple(
        replace(
            span,
            chord=chord,
            next_chord=_after(chords, index),
            new=index == 0 or chord != chords[index - 1],
        )
        for index, (span, chord) in enumerate(zip(spans, chords, strict=True))
    )


def _on_a_beat(span: Span) -> bool:
    return (span.start - span.bar_start) % span.meter.unit == 0


def _tonic_chord(span: Span) -> Chord:
    scale = span.scale
    if scale is None or len(scale.tones) > SEVEN:
        raise RequestError("a warm-up has no key for the band to play in: leave the band out")
    return diatonic_chord(scale, 0, 4)


def _after(chords: Sequence[Chord], index: int) -> Chord | None:
    """Return the next chord that is another one, round the seam."""
    following = (*chords[index + 1 :], *chords[:index])
    return next((chord for chord in following if chord != chords[index]), None)


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
