"""From a chart to its one tidy text, bar lines under bar lines as a copyist lays them.

Conventions: what the reader reads from the tidy text is the same chart, and writing that gives the
same text. Every line of it has an anchor (`chartkit.comments`), by which comments find their place.
Slashes stand only where the words of a bar do not share it evenly. Each row starts and ends with a
bar line; a repeat sign that two rows meet at is written once at each.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from chartkit.chart import Bar, Change, Chart, Mark, Simile, Slot
from chartkit.comments import END
from chartkit.header import HEADER, OVERRIDES, write_text
from chartkit.theory.symbol import write_symbol
from chartkit.tidy import TidyLine, header_lines, text_of

_WIDEST: Final = 24
"""Characters of a cell that others are padded to; a longer one stands out of line."""


def write(chart: Chart) -> str:
    """Return the tidy text of a chart, ended by a line end.

    Parameters
    ----------
    chart : Chart
        As the reader gives it: its beats fill its bars, and its texts hold no line ends and no
        quotation marks.
    """
    return text_of(_lines(chart), chart.comments)


def _lines(chart: Chart) -> Iterator[TidyLine]:
    yield from header_lines(chart, HEADER)
    for section in chart.sections:
        yield ("section", section.label), f"[{section.label}]", True
        for word in OVERRIDES:
            value = getattr(section, HEADER[word].field)
            if value:
                text = f"{word}: {HEADER[word].write(value)}"
                yield ("section", section.label, word), text, False
        for i, row in enumerate(_rows(section.bars)):
            yield ("row", section.label, i), row, False
    yield END, None, True


# ---- Rows -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Piece:
    """A cell and the bar line before it; a row's last piece is a bar line alone.

    `hang` is what of the bar line stands left of its first stroke, `sign` the rest of it; a two-bar
    simile is two columns wide.
    """

    hang: str
    sign: str
    words: str = ""
    columns: int = 1


@dataclass(frozen=True, slots=True)
class _Column:
    """Widths of the three parts that stand under one another, in characters."""

    hang: int
    sign: int
    words: int


def _rows(bars: Sequence[Bar]) -> Iterator[str]:
    """Yield a section's rows with its bar lines under one another."""
    rows = [tuple(_pieces(row)) for row in _systems(bars)]
    columns: dict[int, list[_Piece]] = {}
    for row in rows:
        for column, piece in _placed(row):
            columns.setdefault(column, []).append(piece)
    widths = {column: _widths(pieces) for column, pieces in columns.items()}
    for row in rows:
        yield "".join(_text(piece, column, widths) for column, piece in _placed(row)).rstrip()


def _systems(bars: Sequence[Bar]) -> Iterator[list[Bar]]:
    """Divide bars at the ends of systems."""
    row: list[Bar] = []
    for bar in bars:
        row.append(bar)
        if bar.ends_system:
            yield row
            row = []
    if row:
        yield row


def _pieces(row: Sequence[Bar]) -> Iterator[_Piece]:
    for before, bar in zip((None, *row), (*row, None), strict=True):
        stroke = _barline(before, bar)
        first = stroke.index("|")
        words = _words(bar) if bar else ""
        wide = bar and bar.slots[0] == Simile(2)
        yield _Piece(stroke[:first], stroke[first:], words, 2 if wide else 1)


def _placed(row: Sequence[_Piece]) -> Iterator[tuple[int, _Piece]]:
    column = 0
    for piece in row:
        yield column, piece
        column += piece.columns


def _widths(pieces: Sequence[_Piece]) -> _Column:
    words = (len(piece.words) for piece in pieces if piece.columns == 1)
    return _Column(
        max(len(piece.hang) for piece in pieces),
        max(len(piece.sign) for piece in pieces),
        max((width for width in words if width <= _WIDEST), default=0),
    )


def _text(piece: _Piece, column: int, widths: Mapping[int, _Column]) -> str:
    own = widths[column]
    width = own.words
    if piece.columns > 1:
        following = widths.get(column + 1)
        width += following.hang + following.sign + following.words + 2 if following else 0
    return f"{piece.hang:>{own.hang}}{piece.sign:<{own.sign}} {piece.words:<{width}} "


# ---- Bar lines ------------------------------------------------------------------------------

_OPENED: Final = {"|": "|:", "||": "||:", ":|": ":|:"}
"""Bar lines with a repeat that opens there, where the two have one sign."""


def _barline(before: Bar | None, after: Bar | None) -> str:
    """Return the sign between two bars, or at a row's edge."""
    sign: str = before.right if before else "|"
    if before and before.times:
        sign += f"x{before.times}"
    if after and after.left == "|:":
        sign = _OPENED.get(sign) or f"{sign} |:"
    if after and after.ending:
        joint = " |" if sign[-1].isdigit() else ""
        sign += f"{joint}{','.join(map(str, after.ending))}."
    return sign


# ---- What stands in a bar -------------------------------------------------------------------


def _words(bar: Bar) -> str:
    at_start = [_mark(mark) for mark in bar.marks if mark.sign.at_start]
    at_end = [_mark(mark) for mark in bar.marks if not mark.sign.at_start]
    meter = [f"{{{bar.meter}}}"] if bar.meter else []
    return " ".join((*at_start, *meter, *_beats(bar.slots), *at_end))


def _mark(mark: Mark) -> str:
    return f"last time {mark.sign.value}" if mark.last_time else mark.sign.value


def _beats(slots: Sequence[Slot]) -> Iterator[str]:
    """Yield the words of a bar's beats."""
    first = slots[0]
    if isinstance(first, Simile):
        yield "%" * first.bars
        return
    even = all(isinstance(slot, Change) and slot.beats == first.beats for slot in slots)
    for in_brackets, group in groupby(slots, key=_is_turnaround):
        words = " ".join(" ".join(_slot(slot, even=even)) for slot in group)
        yield f"({words})" if in_brackets else words


def _is_turnaround(slot: Slot) -> bool:
    return isinstance(slot, Change) and slot.turnaround


def _slot(slot: Slot, *, even: bool) -> Iterator[str]:
    """Yield a chord and its slashes; `even`: the bar needs none."""
    assert not isinstance(slot, Simile), "a simile stands alone in its bar"
    slashes = slot.beats
    if isinstance(slot, Change):
        yield _change(slot)
        slashes = 0 if even else slot.beats - 1
    yield from "/" * slashes


def _change(change: Change) -> str:
    symbol = write_symbol(change.chord) if change.chord else "N.C."
    quoted = f'"{write_text(change.text)}" ' if change.text else ""
    return f"{quoted}{'>' if change.pushed else ''}{symbol}{'!' if change.stopped else ''}"
