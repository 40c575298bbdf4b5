"""An overview as text: a heading, then a block for each thing to know, at most 80 columns."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import groupby
from typing import Final

from chartkit.cli.tables import INDENT, table
from chartkit.difficulty.hardest import HardBar, hardest, loops
from chartkit.difficulty.positions import PositionReport
from chartkit.guitar.fretboard import numeral
from chartkit.harmony import Span
from chartkit.overview import Overview, on_the_page
from chartkit.study.changes import Change
from chartkit.study.report import Report
from chartkit.theory.symbol import write_symbol

TOLD: Final = 3
"""Difficulties that are named of a bar, the weightiest."""


def as_text(found: Overview, title: str, *, again: str, hard: int, closer: bool) -> str:
    """Return an overview for a player.

    Parameters
    ----------
    found : Overview
    title : str
    again : str
        The command that loops this part of the tune, to which a range of bars is added.
    hard : int
        How many of the hardest bars to name.
    closer : bool
        Look at one position closely instead of at all of them.
    """
    blocks = (
        _heading(found, title),
        ["Key areas", *table(_areas(found.harmony))],
        ["Changes", *table(list(_changes(found.harmony)), numbers=1)],
        ["Cadences", *table(_cadences(found.harmony) or [["none"]])],
        _position(found.position) if closer else _positions(found.positions),
        _hardest(found, hard, again),
    )
    return "\n\n".join("\n".join(block) for block in blocks)


def bars_in_words(numbers: Iterable[int]) -> str:
    """Return printed bar numbers in playing order, those that follow each other as a range.

    >>> bars_in_words([11, 12, 12, 1])
    '11-12, 1'
    """
    runs: list[list[int]] = []
    for number, _ in groupby(numbers):
        if runs and runs[-1][-1] + 1 == number:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]}-{run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs)


def _heading(found: Overview, title: str) -> list[str]:
    part = f"{' '.join(found.labels)}: {found.bars} bar{'' if found.bars == 1 else 's'}"
    return [title or "Untitled", f"{INDENT}{part} in {found.key}, {_pace(found.tempo)}"]


def _pace(tempo: Fraction) -> str:
    return f"quarter = {float(tempo):g}"


def _areas(harmony: Report) -> list[list[str]]:
    """Return the key areas in the order of the page."""
    shown = on_the_page(harmony.spans)
    return [
        [bars_in_words(harmony.spans[index].bar.number for index in group), str(key)]
        for key, group in groupby(shown, key=harmony.keys.__getitem__)
    ]


def _changes(harmony: Report) -> Iterator[list[str]]:
    """Yield a row for each chord under its section's label; a chord that only goes on has none."""
    moves = {change.span: change for change in harmony.changes}
    yield ["bar", "chord", "numeral", "scale", "guide tones", "common tones"]
    section, last = "", -1
    for index in on_the_page(harmony.spans):
        span = harmony.spans[index]
        if span.bar.section != section:
            section = span.bar.section
            yield [f"[{section}]"]
        number = "" if span.bar.number == last else str(span.bar.number)
        last = span.bar.number
        yield [number, *_chord(harmony, index, moves.get(index))]


def _chord(harmony: Report, index: int, move: Change | None) -> list[str]:
    span, found = harmony.spans[index], harmony.numerals[index]
    if span.chord is None:
        return ["N.C.", "", "", "", ""]
    guides = [f"{way.tone}-{way.to}" for way in move.guides] if move else []
    return [
        write_symbol(span.chord),
        str(found),
        span.scale.name if span.scale else "",
        " ".join(guides),
        " ".join(map(str, move.common)) if move else "",
    ]


def _cadences(harmony: Report) -> list[list[str]]:
    """Return the cadences, those of a written bar that comes again only once."""
    rows = (
        (
            bars_in_words(harmony.spans[index].bar.number for index in one.spans),
            one.name,
            str(one.key),
            " ".join(map(write_symbol, one.chords)),
        )
        for one in harmony.cadences
    )
    return [list(row) for row in dict.fromkeys(rows)]


def _positions(reports: Sequence[PositionReport]) -> list[str]:
    rows = [[numeral(one.position), "; ".join(one.reasons)] for one in reports]
    return ["Positions, the best first", *table(rows)]


def _position(report: PositionReport) -> list[str]:
    rows = [
        [write_symbol(one.chord), _notes(one.missing), _notes(one.stretches)]
        for one in report.arpeggios
    ]
    reach = "open strings" if report.position == 1 else "stretches"
    head = ["arpeggio", "missing", reach]
    return [f"Position {numeral(report.position)}", *table([head, *rows])]


def _notes(notes: Iterable[object]) -> str:
    return " ".join(map(str, notes)) or "-"


def _hardest(found: Overview, count: int, again: str) -> list[str]:
    """Return the hardest bars, and how to loop them."""
    bars = hardest(found.efforts, count)
    place = f"in position {numeral(found.position.position)} at {_pace(found.tempo)}"
    if not bars:
        return [f"Hardest bars {place}", *table([["none: the hand stands still"]])]
    average = sum(one.points for one in found.efforts) / len(found.efforts)
    rows = [
        [
            str(one.bar.number),
            _chords_of(found.harmony.spans, one),
            f"{float(one.points / average):.1f}",
            ", ".join(one.reasons[:TOLD]),
        ]
        for one in bars
    ]
    ranges = (bars_in_words(range(first, last + 1)) for first, last in loops(bars))
    commands = [f"{INDENT}{again} --bars {words}" for words in ranges]
    head = ["bar", "chords", "x average", "in it"]
    return [
        f"Hardest bars {place}",
        *table([head, *rows], numbers=1),
        "",
        "To loop them",
        *commands,
    ]


def _chords_of(spans: Sequence[Span], bar: HardBar) -> str:
    """Return the chords of a bar the first time that it comes."""
    start = next(span.bar_start for span in spans if span.bar == bar.bar)
    chords = (span.chord for span in spans if span.bar_start == start)
    return " ".join(write_symbol(chord) if chord else "N.C." for chord in chords)
