"""A written chart as a sheet: slashes under its chords, with every sign as it stands in the file.

Conventions: sections stand in the order written, each on a new system with its letter; lines of the
file are systems. A bar under a simile sign has no chords of its own. A push is written where it is
struck, in the bar before, when every bar that is played next is pushed; otherwise the word *push*
stands over it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Final, Literal

from chartkit.chart import Change, Chart, Section
from chartkit.form import BarId, chorus, key_of
from chartkit.notate.cells import Cell, cells, with_pushes
from chartkit.notate.layout import endings, in_lines, in_systems
from chartkit.notate.sheet import ChordSymbol, Event, Measure, Sheet, Words
from chartkit.notate.slashes import EARLY, bar_rest, slashes
from chartkit.order import blocks
from chartkit.simile import spelled_out

PUSH: Final = "push"
"""Printed over a pushed chord that cannot be written where it is struck."""


def notate_chart(chart: Chart, *, reflow: bool = False) -> Sheet:
    """Write a chart as an engraver would set it.

    Parameters
    ----------
    chart : Chart
    reflow : bool
        Lay the systems out anew; otherwise they are the lines of the file.

    Raises
    ------
    CannotPlay
        The chart's bars cannot be played in any order (a jump that leads nowhere).
    """
    key = key_of(chart)
    plain = [cell for section in chart.sections for cell in cells(section, chart, key)]
    row = with_pushes(plain, _following(chart))
    ended = _endings(chart.sections)
    measures = tuple(
        _measure(before, cell, after, ended.get(cell.id, ()))
        for before, cell, after in zip((None, *row), row, (*row[1:], None), strict=False)
    )
    lined = in_systems(measures) if reflow else in_lines(measures)
    return Sheet(
        title=chart.title,
        composer=chart.composer,
        subtitle=_order(chart),
        tempo=chart.tempo,
        measures=_with_symbols(_ended_with_system(lined), row),
        notes=chart.notes,
    )


def _order(chart: Chart) -> str:
    """Return the playing order in words, where it is not the order of the page."""
    orders = (("Form", chart.order), ("Solos", chart.solos))
    return "   ".join(f"{name}: {' '.join(labels)}" for name, labels in orders if labels)


def _following(chart: Chart) -> dict[BarId, set[BarId]]:
    """Return the bars that are played after each bar, jumps and repeats made."""
    following = defaultdict(set)
    for bar, after in pairwise(chorus(chart).bars):
        following[bar.source].add(after.source)
    return following


def _measure(
    before: Cell | None, cell: Cell, after: Cell | None, ended: tuple[int, ...]
) -> Measure:
    """Write one measure as it stands in the file, chord symbols aside."""
    bar = cell.bar
    return Measure(
        id=cell.id,
        length=cell.length,
        events=bar_rest(cell.length) if cell.simile else _rhythm(cell, after),
        words=() if cell.simile else tuple(_words(cell)),
        meter=cell.meter if before is None or before.meter != cell.meter else None,
        key=cell.key if before is None or before.key.fifths != cell.key.fifths else None,
        feel=cell.feel if before is None or before.feel != cell.feel else "",
        rehearsal=cell.label,
        left=bar.left,
        right=bar.right if bar.right != "|" else _closing(after),
        ending=bar.ending,
        ended=ended,
        times=bar.times,
        marks=bar.marks,
        simile=cell.simile,
        new_system=before is None or before.ends_line or bool(cell.label),
    )


def _rhythm(cell: Cell, after: Cell | None) -> tuple[Event, ...]:
    first, *rest = cell.stretches
    pushed = first.pushed and cell.early
    following = after.stretches[0] if after and after.early else None
    return slashes((replace(first, pushed=pushed), *rest), following, cell.meter)


def _closing(after: Cell | None) -> Literal["|", "||", "|]"]:
    """Return the line between a bar and the next: double before a letter, final at the end."""
    if after is None:
        return "|]"
    return "||" if after.label else "|"


def _changes(cell: Cell) -> Iterator[tuple[Fraction, Change]]:
    """Yield a cell's chords and where they stand, struck early or not."""
    for slot, stretch in zip(cell.bar.slots, cell.stretches, strict=True):
        if isinstance(slot, Change):
            yield stretch.start, slot


def _words(cell: Cell) -> Iterator[Words]:
    for start, change in _changes(cell):
        if change.text:
            yield Words(start, change.text)
        if change.pushed and start == 0 and not cell.early:
            yield Words(start, PUSH)


def _with_symbols(measures: tuple[Measure, ...], row: tuple[Cell, ...]) -> tuple[Measure, ...]:
    """Set each chord symbol over the beat where its chord is struck.

    A chord that is struck in the measure before has its symbol there, and once more over its own
    measure where that starts a system.
    """
    found: list[list[ChordSymbol]] = [[] for _ in measures]
    for n, (measure, cell) in enumerate(zip(measures, row, strict=True)):
        for symbol, pushed in _symbols(cell):
            if not pushed or (symbol.start == 0 and not cell.early):
                found[n].append(symbol)
            elif symbol.start > 0:
                found[n].append(replace(symbol, start=symbol.start - EARLY))
            else:
                found[n - 1].append(replace(symbol, start=row[n - 1].length - EARLY))
                found[n] += [symbol] * measure.new_system
    return tuple(
        replace(measure, chords=tuple(chords))
        for measure, chords in zip(measures, found, strict=True)
    )


def _symbols(cell: Cell) -> Iterator[tuple[ChordSymbol, bool]]:
    """Yield a cell's chord symbols over their written beats, and whether each is pushed."""
    changes = [] if cell.simile else list(_changes(cell))
    brackets = [False, *(change.turnaround for _, change in changes), False]
    for n, (start, change) in enumerate(changes, start=1):
        opens = brackets[n] and not brackets[n - 1]
        closes = brackets[n] and not brackets[n + 1]
        yield ChordSymbol(start, change.chord, opens, closes), change.pushed


def _endings(sections: Iterable[Section]) -> dict[BarId, tuple[int, ...]]:
    """Return the endings that each bar is the last of."""
    ended = {}
    for section in sections:
        ids = [BarId(section.label, n, b.number) for n, b in enumerate(spelled_out(section))]
        bars = [bar for bar in spelled_out(section) if bar.number]
        for block in blocks(bars, len(ids) - len(bars)):
            for numbers, place in block.endings:
                ended[ids[place[-1]]] = numbers
    return ended


def _ended_with_system(measures: tuple[Measure, ...]) -> tuple[Measure, ...]:
    """Let the bracket of a last ending, which no repeat sign closes, end with its first system."""
    moved: dict[int, tuple[int, ...]] = {}
    for first, last in endings(measures):
        cuts = [n for n in range(first + 1, last + 1) if measures[n].new_system]
        if cuts and measures[last].right != ":|":
            moved |= {last: (), cuts[0] - 1: measures[last].ended}
    return tuple(replace(m, ended=moved.get(n, m.ended)) for n, m in enumerate(measures))
