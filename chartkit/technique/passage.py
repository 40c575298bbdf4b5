"""Passages of notes, and the line they make."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from math import ceil
from typing import Final

from chartkit.chart import Meter
from chartkit.feel import FEELS
from chartkit.form import BarId
from chartkit.guitar.hand import Grip
from chartkit.harmony import Span
from chartkit.header import read_meter
from chartkit.line import Line, LineNote
from chartkit.theory.chord import Chord
from chartkit.theory.key import Key
from chartkit.theory.pitch import Pitch
from chartkit.theory.scale import Scale

FEEL: Final = "straight eighths"
"""The feel of a routine where none is asked for."""


@dataclass(frozen=True, slots=True)
class Step:
    """A note and the grip that plays it; None on an instrument without frets."""

    pitch: Pitch
    grip: Grip | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """Notes that belong together, and the chord they break up, if they do."""

    steps: tuple[Step, ...]
    chord: Chord | None = None


@dataclass(frozen=True, slots=True)
class Passage:
    """Groups one after the other, at least one.

    Parameters
    ----------
    label : str
        Printed over its start.
    key : Key
    scale : Scale
        What is practised.
    groups : tuple of Group
    """

    label: str
    key: Key
    scale: Scale
    groups: tuple[Group, ...]

    @property
    def steps(self) -> tuple[Step, ...]:
        """Every note."""
        return tuple(step for group in self.groups for step in group.steps)


@dataclass(frozen=True, slots=True)
class _Pace:
    """The length of a note in quarter notes, and what counts them."""

    value: Fraction
    meter: Meter
    feel: str


def line_of(passages: Sequence[Passage], value: Fraction, feel: str = FEEL) -> Line:
    """Return passages as one line in even notes.

    Parameters
    ----------
    passages : sequence of Passage
        At least one.
    value : Fraction
        Length of a note in quarter notes.
    feel : str
        A name of `chartkit.feel.FEELS`; its meter is the first that it plays.
    """
    pace = _Pace(value, read_meter(FEELS[feel].meters[0]), feel)
    notes: list[LineNote] = []
    spans: list[Span] = []
    start = Fraction(0)
    for passage in passages:
        bars = ceil(len(passage.steps) * value / pace.meter.length)
        end = start + pace.meter.length * bars
        notes += _notes(passage, start, end, value)
        spans += _spans(passage, start, end, pace)
        start = end
    return Line(tuple(notes), tuple(spans))


def _notes(passage: Passage, start: Fraction, end: Fraction, value: Fraction) -> Iterator[LineNote]:
    steps = passage.steps
    bounds = [*(start + value * number for number in range(len(steps))), end]
    for step, (first, last) in zip(steps, pairwise(bounds), strict=True):
        yield LineNote(first, last - first, step.pitch)


def _spans(passage: Passage, start: Fraction, end: Fraction, pace: _Pace) -> Iterator[Span]:
    """Yield a span a group, cut at bar lines; the last one knows that its section ends."""
    cut = [piece for whole in _whole_spans(passage, start, end, pace) for piece in _cut(whole)]
    last_bar, bar_length = cut[-1].bar_start, pace.meter.length
    for span in cut:
        number = int((span.bar_start - start) / bar_length)
        bar = BarId(passage.label, number, int(span.bar_start / bar_length) + 1)
        yield replace(span, bar=bar, ends="section" if span.bar_start == last_bar else "")


def _whole_spans(passage: Passage, start: Fraction, end: Fraction, pace: _Pace) -> Iterator[Span]:
    """Yield a span for every run of groups on one chord, across bar lines."""
    chords: list[Chord | None] = []
    firsts: list[Fraction] = []
    first = start
    for group in passage.groups:
        if not chords or group.chord != chords[-1]:
            chords.append(group.chord)
            firsts.append(first)
        first += pace.value * len(group.steps)
    following = (*chords[1:], None)
    bounds = pairwise([*firsts, end])
    for chord, after, (beat, until) in zip(chords, following, bounds, strict=True):
        yield Span(
            start=beat,
            length=until - beat,
            chord=chord,
            next_chord=after,
            scale=passage.scale,
            key=passage.key,
            bar=BarId(passage.label, 0, 1),
            bar_start=beat,
            meter=pace.meter,
            feel=pace.feel,
            new=chord is not None,
        )


def _cut(span: Span) -> Iterator[Span]:
    """Yield the parts of a span between bar lines; only the first is new."""
    end = span.start + span.length
    start, new = span.start, span.new
    while start < end:
        bar_start = start - start % span.meter.length
        until = min(end, bar_start + span.meter.length)
        yield replace(span, start=start, length=until - start, bar_start=bar_start, new=new)
        start, new = until, False
