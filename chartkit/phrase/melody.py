"""From rows of melody to the notes of a phrase.

Conventions: a note value and an octave hold until the next one; without any, notes are eighths. A
bar without a bar line before it is a pick-up if it is the first of several and shorter than a bar.
The last bar may be short: rests fill it. After a bar that could not be read nothing is said of what
hangs on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from chartkit.beats import UNIT_NAMES
from chartkit.chart import Meter
from chartkit.lines import Report
from chartkit.phrase.chords import BROKEN_BAR, BROKEN_HINT, Over
from chartkit.phrase.lines import MelodyBar, MelodyRow, Sound
from chartkit.phrase.phrase import PhraseNote
from chartkit.phrase.pitches import Pitches
from chartkit.phrase.values import LETTERS_OF, Heard, as_written, can_stand, is_triplet, read_value

USUAL: Final = Fraction(1, 2)
"""The value of notes before any is written."""


@dataclass(frozen=True, slots=True)
class Melody:
    """The notes of a phrase, its pick-up, and how many bars each line of the file has."""

    notes: tuple[PhraseNote, ...]
    pickup: Fraction
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Timed:
    """A bar whose sounds have their lengths; None for a bar that cannot be counted."""

    bar: MelodyBar
    lengths: tuple[Fraction, ...] | None

    @property
    def length(self) -> Fraction | None:
        return None if self.lengths is None else sum(self.lengths, Fraction(0))


def melody_of(
    rows: Sequence[MelodyRow], over: Over, meter: Meter | None, report: Report
) -> Melody | None:
    """Read rows of melody; None where its bars cannot be told from one another.

    Parameters
    ----------
    rows : sequence of MelodyRow
        At least one.
    over : Over
        What it is played over.
    meter : Meter or None
        None where it could not be read: then beats are not counted.
    report : Report
    """
    timed = _timed(_bars(rows, report))
    pickup = _pickup(timed, rows[0], meter)
    lines = tuple(len(row.bars) - (n == 0 and pickup > 0) for n, row in enumerate(rows))
    full = timed[1:] if pickup else timed
    if meter:
        _check_bars(timed, meter, rows[0], pickup, report)
        _check_chords(full, over, report)
    starts = _starts(timed, pickup, meter)
    pitches = Pitches(over, report)
    notes = [
        note
        for one, start in zip(timed, starts, strict=True)
        for note in _notes(one, start, pitches)
    ]
    pitches.end()
    if not meter or not notes:
        return None
    until = max(len(full), len(over.bars)) * meter.length
    if until > notes[-1].end and not _told(report):
        notes += as_written([Heard(notes[-1].end, until - notes[-1].end, None)], meter, until)
    return Melody(tuple(notes), pickup, _lines(lines, int(until / meter.length)))


def _bars(rows: Sequence[MelodyRow], report: Report) -> list[MelodyBar]:
    """Return the bars of all rows; two that should be one are told and known as broken."""
    bars: list[MelodyBar] = []
    for before, row in zip((None, *rows), rows, strict=False):
        first, *rest = row.bars
        if before and not (before.closes or row.opens):
            if not (first.broken or bars[-1].broken):
                report.tell(first.place, BROKEN_BAR, (BROKEN_HINT,))
            bars[-1], first = replace(bars[-1], broken=True), replace(first, broken=True)
        bars += (first, *rest)
    return bars


def _told(report: Report) -> bool:
    return any(fault.severity == "error" for fault in report.faults)


def _lines(lines: Sequence[int], bars: int) -> tuple[int, ...]:
    """Return the bars of each line; a pick-up alone joins the line after it."""
    *most, last = [count for count in lines if count] or [0]
    return (*most, last + bars - sum(lines))


# ---- Lengths --------------------------------------------------------------------------------


def _timed(bars: Sequence[MelodyBar]) -> list[_Timed]:
    """Give each sound its length, as far as the values before it are known."""
    found: list[_Timed] = []
    value: Fraction | None = USUAL
    for bar in bars:
        lengths: list[Fraction | None] = []
        for sound in bar.sounds:
            value = read_value(sound.value.text) if sound.value else value
            lengths.append(value)
        if bar.broken:
            value = None
        known = tuple(length for length in lengths if length is not None)
        complete = not bar.broken and len(known) == len(lengths)
        found.append(_Timed(bar, known if complete else None))
    return found


def _pickup(timed: Sequence[_Timed], first: MelodyRow, meter: Meter | None) -> Fraction:
    length = timed[0].length
    if first.opens or len(timed) == 1 or length is None or not meter or length >= meter.length:
        return Fraction(0)
    return length


def _starts(
    timed: Sequence[_Timed], pickup: Fraction, meter: Meter | None
) -> list[Fraction | None]:
    """Return where each bar begins; None without a meter."""
    if not meter:
        return [None] * len(timed)
    first = -meter.length if pickup else Fraction(0)
    starts: list[Fraction | None] = [first + n * meter.length for n in range(len(timed))]
    if pickup:
        starts[0] = -pickup
    return starts


# ---- Bars that are not full, or too full ----------------------------------------------------


def _check_bars(
    timed: Sequence[_Timed], meter: Meter, first: MelodyRow, pickup: Fraction, report: Report
) -> None:
    """Tell of bars that their notes do not fill, and of values that cannot stand where they do.

    The last bar may be short.
    """
    for n, one in enumerate(timed):
        start = meter.length - pickup if n == 0 and pickup else Fraction(0)
        if _check_values(one, start, report) or one.length is None or (start and n == 0):
            continue
        is_short = one.length < meter.length
        if one.length == meter.length or (is_short and n == len(timed) - 1):
            continue
        bar = f"{meter.beats} {UNIT_NAMES[meter.unit]}"
        hints = [bar]
        if n == 0 and is_short and first.opens:
            hints.append("a pick-up without a bar line before it")
        found = f"{_beats(one.length / meter.unit)} in a bar of {bar}"
        report.tell(one.bar.place, found, tuple(hints))


def _check_values(one: _Timed, start: Fraction, report: Report) -> bool:
    """Tell of the first value of a bar that cannot stand where it does; whether there is one."""
    for sound, length in zip(one.bar.sounds, one.lengths or (), strict=False):
        if not can_stand(start, length):
            _tell_misplaced(sound, start, length, report)
            return True
        start += length
    return False


def _tell_misplaced(sound: Sound, start: Fraction, length: Fraction, report: Report) -> None:
    if is_triplet(start) and not is_triplet(length):
        found = "the triplet before this note is not full"
        report.tell(sound.place, found, ("three notes of it, as in `te D4 E4 F4`",))
    else:
        found = f"a triplet of value `{LETTERS_OF[length]}` cannot begin here"
        report.tell(sound.place, found, ("triplets that begin on a beat",))


def _beats(count: Fraction) -> str:
    """Return a number of beats in words, such as ``3 1/2 beats``."""
    whole, rest = divmod(count, 1)
    number = " ".join(str(part) for part in (int(whole), rest) if part) or "0"
    return f"{number} {'beat' if count == 1 else 'beats'}"


def _check_chords(full: Sequence[_Timed], over: Over, report: Report) -> None:
    if over.bars and len(full) > len(over.bars):
        found = f"there are chords for {len(over.bars)} of {len(full)} bars"
        hint = "a chord over each bar; `%` is the bar before once more"
        report.tell(full[len(over.bars)].bar.place, found, (hint,))


# ---- Notes ----------------------------------------------------------------------------------


def _notes(one: _Timed, start: Fraction | None, pitches: Pitches) -> list[PhraseNote]:
    """Read the sounds of a bar; where it cannot be counted, only for their faults."""
    if one.bar.broken:
        pitches.lose()
        return []
    notes: list[PhraseNote] = []
    lengths = one.lengths or (None,) * len(one.bar.sounds)
    for sound, length in zip(one.bar.sounds, lengths, strict=True):
        read = pitches.read(sound, start)
        if length is None or start is None:
            start = None
            continue
        if read:
            pitch, degree = read
            tie = sound.tie is not None
            notes.append(PhraseNote(start, length, pitch, tie, degree, sound.word.place))
        start += length
    return notes
