"""From a measure to a bar: its chords, its beats and its bar lines read.

Conventions: a bar that cannot be read has no slots; its faults are known and no check says more.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from chartkit.beats import shares
from chartkit.chart import Bar, Change, Hold, Meter, Simile, Slot
from chartkit.errors import ChordError
from chartkit.explain import shown
from chartkit.header import read_meter, read_text
from chartkit.lines import Beat, Cell, Kind, Misread, Report, Word
from chartkit.rows import Measure
from chartkit.theory.chord import Chord
from chartkit.theory.symbol import read_symbol

_MOST_TIMES: Final = 99
"""How often a repeat is played at most."""


@dataclass(frozen=True, slots=True)
class Count:
    """What a bar is counted in: its meter, and its beats where they are fewer (a pickup)."""

    meter: Meter
    pickup: int = 0

    @property
    def beats(self) -> int:
        """Beats that fill the bar."""
        return self.pickup or self.meter.beats


def bar_of(measure: Measure, number: int, count: Count | None, report: Report) -> Bar:
    """Read a measure.

    Parameters
    ----------
    measure : Measure
    number : int
        The printed bar number.
    count : Count or None
        None where the meter could not be read: then beats are not counted.
    report : Report
    """
    left, cell, right = measure.left, measure.cell, measure.right
    return Bar(
        number,
        _slots(cell, count, report),
        "|:" if left and left.opens else "|",
        right.right if right else "|",
        _ending(left.ending) if left and left.ending else (),
        _times(right.times, report) if right and right.times else None,
        tuple(sorted(cell.marks, key=lambda mark: not mark.sign.at_start)),
        count.meter if count and cell.meter else None,
        measure.ends_row,
        cell.place,
        (left.opening or left.place) if left else cell.place,
        right.place if right else cell.place,
    )


def change_meter(count: Count | None, word: Word, report: Report) -> Count | None:
    """Return the count from a bar with a meter change on; None where it cannot be read."""
    try:
        return Count(read_meter(word.text[1:-1].strip()), count.pickup if count else 0)
    except Misread as trouble:
        report.tell(word.place, trouble.found, trouble.expected)
        return None


def _ending(word: Word) -> tuple[int, ...]:
    return tuple(int(number.strip()) for number in word.text.strip("|.").split(","))


def _times(word: Word, report: Report) -> int:
    times = int(word.text[1:4])
    if not 1 < times <= _MOST_TIMES:
        found = f"a repeat cannot be played {shown(word.text)}"
        report.tell(word.place, found, (f"`x2` to `x{_MOST_TIMES}`",))
    return times


def _slots(cell: Cell, count: Count | None, report: Report) -> tuple[Slot, ...]:
    if cell.simile:
        return (Simile(1 if cell.simile.text == "%" else 2, cell.simile.place),)
    chords = [_chord(beat, report) for beat in cell.beats if beat.kind is Kind.CHORD]
    if cell.broken or not count or None in chords:
        return ()
    try:
        shared = shares(cell.beats, count.beats, count.meter)
    except Misread as trouble:
        report.tell(cell.place, trouble.found, trouble.expected)
        return ()
    found = iter(chords)
    return tuple(
        _slot(beat, length, next(found) if beat.kind is Kind.CHORD else None)
        for beat, length in shared
    )


def _slot(beat: Beat, length: int, chord: Chord | None) -> Slot:
    if beat.kind is Kind.SLASH:
        return Hold(length, beat.word.place)
    return Change(
        chord,
        length,
        beat.word.text.startswith(">"),
        beat.word.text.endswith("!"),
        beat.turnaround,
        read_text(beat.quoted.text[1:-1]).strip() or None if beat.quoted else None,
        beat.word.place,
    )


def _chord(beat: Beat, report: Report) -> Chord | None:
    """Read the chord of a word; tell and return None where there is none."""
    if report.full:
        return None
    text = beat.word.text
    symbol = text.removeprefix(">").removesuffix("!")
    place = beat.word.at(len(text) - len(text.removeprefix(">")))
    if symbol.replace(".", "").upper() == "NC":
        found = f"{shown(text)}: only a chord can be pushed or stopped"
        report.tell(place, found, ("`N.C.`", "a chord"))
        return None
    try:
        read = read_symbol(symbol)
    except ChordError as trouble:
        report.tell(place, trouble.found, trouble.expected)
        return None
    for warning in read.warnings:
        report.warn(place, warning)
    return read.chord
