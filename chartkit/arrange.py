"""From a take to an arrangement: the passes, their accents, the count-in and the ending.

Conventions: beats are quarter notes from the first pass's first beat; the count-in and a pickup
lie before zero.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from chartkit.chart import Meter
from chartkit.harmony import Span
from chartkit.theory.key import Key
from chartkit.track import Marker, TempoMap


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
