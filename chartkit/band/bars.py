"""The bars of an arrangement as the rhythm section lays its figures over them.

Conventions: a stretch is a run of bars of one feel within one section of one pass; figures that
last longer than a bar stay within their stretch.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from chartkit.band.cues import Cue
from chartkit.feel import feel
from chartkit.feel.figure import Stroke
from chartkit.feel.pattern import Pattern, fill, strokes


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar's cues, at least one."""

    cues: tuple[Cue, ...]

    @property
    def start(self) -> Fraction:
        """First beat, in quarter notes; a pickup's is where the whole bar would begin."""
        first = self.cues[0].span
        return min(first.start, self.end - first.meter.length)

    @property
    def end(self) -> Fraction:
        """The next bar's first beat, in quarter notes."""
        last = self.cues[-1].span
        return last.start + last.length

    @property
    def pulse(self) -> Fraction:
        """The beat that figures count, in quarter notes."""
        return feel(self.cues[0].span.feel).pulse

    @property
    def beats(self) -> int:
        """How many of them it has."""
        return int((self.end - self.start) / self.pulse)


def bars(changes: Sequence[Cue]) -> tuple[Bar, ...]:
    """Return the bars of the changes, in order."""
    grouped = groupby(changes, key=lambda cue: cue.span.bar_start)
    return tuple(Bar(tuple(group)) for _, group in grouped)


def stretches(played: Sequence[Bar]) -> Iterator[tuple[Bar, ...]]:
    """Yield runs of bars of one feel, each up to the end of its section."""
    stretch: list[Bar] = []
    for bar in played:
        if stretch and stretch[-1].cues[0].span.feel != bar.cues[0].span.feel:
            yield tuple(stretch)
            stretch = []
        stretch.append(bar)
        if bar.cues[-1].span.ends:
            yield tuple(stretch)
            stretch = []
    if stretch:
        yield tuple(stretch)


def lay(
    rows: Sequence[Pattern], stretch: Sequence[Bar], rng: random.Random
) -> Iterator[tuple[str, Stroke]]:
    """Fill a stretch with patterns; yield strokes in quarter notes from beat zero, by player."""
    first, pulse = stretch[0].start, stretch[0].pulse
    beats = [bar.beats for bar in stretch]
    for laid in fill(rows, beats, stretch[0].cues[0].intensity, rng):
        for name, stroke in strokes(laid):
            yield name, Stroke(first + stroke.start * pulse, stroke.length * pulse, stroke.mark)
