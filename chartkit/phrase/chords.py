"""From rows of chords to the chords of a phrase.

Conventions: bars count from 0, the pick-up left out; a bar that could not be read has no chords and
is known as broken, so that nothing more is said of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from chartkit.beats import shares
from chartkit.chart import Meter
from chartkit.errors import ChordError
from chartkit.lines import Beat, Cell, Kind, Misread, Report
from chartkit.phrase.lines import ChordRow
from chartkit.phrase.phrase import PhraseChord
from chartkit.theory.chord import Chord
from chartkit.theory.symbol import read_symbol

BROKEN_BAR = "a bar is broken over two lines"
BROKEN_HINT = "a bar line here or at the end of the line above"


@dataclass(frozen=True, slots=True)
class Over:
    """What a phrase is played over: the chords of each bar, None for a bar that is broken."""

    bars: tuple[tuple[PhraseChord, ...] | None, ...]

    @property
    def chords(self) -> tuple[PhraseChord, ...]:
        """The chords of all bars that could be read."""
        return tuple(chord for bar in self.bars for chord in bar or ())


def chords_of(rows: Sequence[ChordRow], meter: Meter | None, report: Report) -> Over:
    """Read rows of chords.

    Parameters
    ----------
    rows : sequence of ChordRow
    meter : Meter or None
        None where it could not be read: then beats are not counted.
    report : Report
    """
    for before, row in pairwise(rows):
        broken = before.bars[-1].broken or row.bars[0].broken
        if not (before.closes or row.opens or broken):
            report.tell(row.bars[0].place, BROKEN_BAR, (BROKEN_HINT,))
    bars: list[tuple[PhraseChord, ...] | None] = []
    for cell in _cells(rows):
        start = len(bars) * meter.length if meter else Fraction(0)
        if cell.simile:
            bars.append(_again(cell, bars, start, report))
        else:
            bars.append(_bar(cell, bars, start, meter, report))
    return Over(tuple(bars))


def _cells(rows: Iterable[ChordRow]) -> Iterable[Cell]:
    return (cell for row in rows for cell in row.bars)


def _again(
    cell: Cell,
    bars: Sequence[tuple[PhraseChord, ...] | None],
    start: Fraction,
    report: Report,
) -> tuple[PhraseChord, ...] | None:
    """Return the bar before once more."""
    if not bars:
        report.tell(cell.place, "`%` stands in the first bar", ("a chord",))
    if not bars or not bars[-1]:
        return None
    first = bars[-1][0].start
    return tuple(
        replace(one, start=one.start - first + start, place=cell.place) for one in bars[-1]
    )


def _bar(
    cell: Cell,
    bars: Sequence[tuple[PhraseChord, ...] | None],
    start: Fraction,
    meter: Meter | None,
    report: Report,
) -> tuple[PhraseChord, ...] | None:
    read = [_chord(beat, report) for beat in cell.beats if beat.kind is Kind.CHORD]
    if cell.broken or not meter or None in read:
        return None
    try:
        shared = shares(cell.beats, meter.beats, meter)
    except Misread as trouble:
        report.tell(cell.place, trouble.found, trouble.expected)
        return None
    chords = iter(read)
    found: list[PhraseChord] = []
    for beat, beats in shared:
        length = beats * meter.unit
        if beat.kind is not Kind.SLASH:
            chord = next(chords) if beat.kind is Kind.CHORD else None
        elif bars and bars[-1]:
            chord = bars[-1][-1].chord
        else:
            if not bars:
                report.tell(beat.word.place, "`/` stands in the first beat", ("a chord",))
            return None
        found.append(PhraseChord(start, length, chord, beat.word.place))
        start += length
    return tuple(found)


def _chord(beat: Beat, report: Report) -> Chord | None:
    """Read the chord of a word; tell and return None where there is none."""
    if report.full:
        return None
    try:
        read = read_symbol(beat.word.text)
    except ChordError as trouble:
        report.tell(beat.word.place, trouble.found, trouble.expected)
        return None
    for warning in read.warnings:
        report.warn(beat.word.place, warning)
    return read.chord
