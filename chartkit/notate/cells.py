"""A section's bars as they will be written: one cell a measure, similes kept, pushes settled.

Conventions: `Change`s and `Hold`s become stretches of time in quarter notes from the measure's
first beat. A stop or N.C. is silent until the next chord, over bar lines too.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from chartkit.chart import Bar, Change, Chart, Meter, Section, Simile
from chartkit.form import BarId
from chartkit.notate.slashes import Stretch
from chartkit.simile import spelled_out
from chartkit.theory.key import Key


@dataclass(frozen=True, slots=True)
class Cell:
    """One measure to be written.

    Parameters
    ----------
    id : BarId
    bar : Bar
        With its simile spelled out.
    label : str
        The section's, on its first measure; else empty.
    key : Key
    feel : str
    meter : Meter
    simile : int
        As in `chartkit.notate.sheet.Measure`.
    ends_line : bool
        The line of the file ends here.
    stretches : tuple of Stretch
        One a slot of the bar.
    early : bool
        Its first chord is pushed and written in the measure before.
    """

    id: BarId
    bar: Bar
    label: str
    key: Key
    feel: str
    meter: Meter
    simile: Literal[0, 1, 2, -2]
    ends_line: bool
    stretches: tuple[Stretch, ...]
    early: bool = False

    @property
    def pushed(self) -> bool:
        """Its first chord is pushed."""
        return self.stretches[0].pushed

    @property
    def length(self) -> Fraction:
        """In quarter notes."""
        return self.stretches[-1].end


def cells(section: Section, chart: Chart, key: Key) -> tuple[Cell, ...]:
    """Return a section's measures.

    Parameters
    ----------
    section : Section
    chart : Chart
        The chart it is from, whose meter and feel hold where the section has none.
    key : Key
        The chart's key, likewise.
    """
    done: list[Cell] = []
    silent = False
    meter = section.meter or chart.meter
    for (simile, ends_line), bar in zip(_signs(section), spelled_out(section), strict=True):
        meter = bar.meter or meter
        stretches, silent = _stretches(bar, meter, silent=silent)
        done.append(
            Cell(
                id=BarId(section.label, len(done), bar.number),
                bar=bar,
                label="" if done else section.label,
                key=section.key or key,
                feel=section.feel or chart.feel,
                meter=meter,
                simile=simile,
                ends_line=ends_line,
                stretches=stretches,
            )
        )
    return tuple(done)


def _signs(section: Section) -> list[tuple[Literal[0, 1, 2, -2], bool]]:
    """Return the simile sign of each measure, and whether a line of the file ends there."""
    signs: list[tuple[Literal[0, 1, 2, -2], bool]] = []
    for bar in section.bars:
        first = bar.slots[0]
        if not isinstance(first, Simile):
            signs.append((0, bar.ends_system))
        elif first.bars == 1:
            signs.append((1, bar.ends_system))
        else:
            signs += [(2, False), (-2, bar.ends_system)]
    return signs


def _stretches(bar: Bar, meter: Meter, *, silent: bool) -> tuple[tuple[Stretch, ...], bool]:
    """Return a bar's stretches, and whether silence goes on after it."""
    done: list[Stretch] = []
    start = Fraction(0)
    for slot in bar.slots:
        assert not isinstance(slot, Simile)  # the bar has been spelled out
        end = start + slot.beats * meter.unit
        kind: Literal["sound", "silent", "stop"] = "silent" if silent else "sound"
        if isinstance(slot, Change):
            kind = "stop" if slot.stopped else "sound" if slot.chord else "silent"
        done.append(Stretch(start, end, kind, isinstance(slot, Change) and slot.pushed))
        silent = kind != "sound"
        start = end
    return tuple(done), silent


def with_pushes(
    row: Sequence[Cell], following: Mapping[BarId, AbstractSet[BarId]]
) -> tuple[Cell, ...]:
    """Settle where pushes are written.

    A push goes into the measure before it if that one can be written out and every bar played after
    it is pushed too. Going backwards, since a simile that has to be written out may itself begin
    with a push.

    Parameters
    ----------
    row : sequence of Cell
        All the chart's measures as printed.
    following : mapping
        The bars that are played after each bar.
    """
    done = list(row)
    pushed = {cell.id for cell in row if cell.pushed}
    for n in range(len(done) - 1, 0, -1):
        before, cell = done[n - 1], done[n]
        after = following.get(before.id, frozenset())
        if cell.id in after <= pushed and cell.simile == 0 and before.simile in (0, 1):
            done[n - 1 : n + 1] = replace(before, simile=0), replace(cell, early=True)
    return tuple(done)
