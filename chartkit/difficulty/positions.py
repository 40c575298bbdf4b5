"""Which positions suit some changes, the best first.

Conventions: positions are ranked by the chords that lack a tone, then by what a note of the
connected arpeggio through the changes, in eighths, costs there (points of
`chartkit.difficulty.movement`); of two equally good ones the lower comes first. The ranking is this
project's own judgement, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import inf
from typing import Final

from chartkit.difficulty.arpeggios import Arpeggio, arpeggios, within
from chartkit.difficulty.movement import movements
from chartkit.errors import CannotPlay
from chartkit.exercise.connected import connected
from chartkit.guitar.cost import BODY
from chartkit.guitar.fingering import finger
from chartkit.guitar.fretboard import STANDARD, Tuning, window
from chartkit.harmony import Span
from chartkit.theory.symbol import write_symbol

POSITIONS: Final = range(1, 13)
"""Those that are compared: at the thirteenth fret the neck begins again."""


@dataclass(frozen=True, slots=True)
class PositionReport:
    """What a position offers.

    Parameters
    ----------
    position : int
    arpeggios : tuple of Arpeggio
        Of every chord, in the order they come.
    effort : float
        Points a note of the connected arpeggio; infinite where there is no such line.
    """

    position: int
    arpeggios: tuple[Arpeggio, ...]
    effort: Fraction | float

    @property
    def incomplete(self) -> tuple[Arpeggio, ...]:
        """The arpeggios that lack a tone."""
        return tuple(one for one in self.arpeggios if one.missing)

    @property
    def reasons(self) -> tuple[str, ...]:
        """What speaks for it or against it, a clause each."""
        return tuple(self._reasons())

    def _reasons(self) -> Iterator[str]:
        if self.incomplete:
            yield f"incomplete: {', '.join(write_symbol(one.chord) for one in self.incomplete)}"
        stretched = [one for one in self.arpeggios if one.stretches]
        what = "open strings" if self.position == 1 else "stretches"
        if stretched:
            most = max(stretched, key=lambda one: len(one.stretches))
            yield (
                f"{what} in {len(stretched)} of {len(self.arpeggios)} arpeggios, "
                f"most in {write_symbol(most.chord)} ({len(most.stretches)})"
            )
        else:
            yield f"no {what}"
        if window(self.position)[-1] > BODY:
            yield "past the body"


def positions(
    spans: Sequence[Span],
    tuning: Tuning = STANDARD,
    *,
    low: int | None = None,
    high: int | None = None,
) -> tuple[PositionReport, ...]:
    """Return the reports of all `POSITIONS` that the neck has, the best first.

    Parameters
    ----------
    spans : sequence of Span
    tuning : Tuning
    low, high : int, optional
        MIDI note numbers to stay within, both included; the window's own by default.
    """
    there = (position for position in POSITIONS if position in tuning.positions)
    found = (position_report(spans, position, tuning, low=low, high=high) for position in there)
    return tuple(sorted(found, key=lambda one: (len(one.incomplete), one.effort)))


def position_report(
    spans: Sequence[Span],
    position: int,
    tuning: Tuning = STANDARD,
    *,
    low: int | None = None,
    high: int | None = None,
) -> PositionReport:
    """Return what a position offers; see `positions`. RequestError where the neck has none such."""
    return PositionReport(
        position,
        arpeggios(spans, position, tuning, low=low, high=high),
        _effort(spans, position, tuning, *within(tuning, position, low, high)),
    )


def _effort(
    spans: Sequence[Span], position: int, tuning: Tuning, low: int, high: int
) -> Fraction | float:
    try:
        line = connected(spans, low, high)
        fingering = finger(line, tuning, position=position)
    except CannotPlay:
        return inf
    asked = movements(line, fingering)
    return Fraction(sum(one.points for one in asked), len(asked))
