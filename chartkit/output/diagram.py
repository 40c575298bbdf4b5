"""Fretboard diagrams: strings, frets, and a dot for every mark of a shape.

Conventions: points. A short piece of neck stands upright, the nut or the lowest fret at its top and
the first string on the right; a long one lies, the nut on the left and the first string at its top.
For a left-handed player both are mirrored. The root's dot is hollow. A cross over a string of a
chord says that it is not played. Source: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Final, Literal

from chartkit.guitar.fretboard import numeral
from chartkit.guitar.shapes import Mark, Shape
from chartkit.notate.symbols import SIGNS
from chartkit.output.blocks import LEADING, TITLE_SIZE, Block, fitting, signed, text

Label = Literal["fingers", "degrees"]
"""What stands in the dots."""

STRING_GAP: Final = 13.0
FRET_GAP: Final = 17.0
DOT: Final = 5.2
"""Distances between strings and frets, and a dot's radius."""

LEAST_FRETS: Final = 4
NUT_REACH: Final = 4
"""A shape that ends by this fret is shown from the nut."""

LYING: Final = 8
"""From so many frets on the neck lies."""

TITLE_ROOM: Final = 26.0
BESIDE: Final = 18.0
UNDER: Final = 14.0
"""Room over a diagram for its name, on both sides for a fret's number, and under it."""

NAME_HEIGHT: Final = 16.0
"""From a diagram's strings up to the foot of its name."""

NAME_SIZE: Final = 9.0
NUMBER_SIZE: Final = 8.0
SIGN_SIZE: Final = 3.2
OPEN: Final = -0.42
"""Where the mark of an open or a silent string stands, in frets."""

NUMBERED: Final = frozenset({3, 5, 7, 9, 12, 15, 17, 19, 21, 24})
"""Frets whose numbers stand under a lying neck: those that necks are commonly inlaid at."""


@dataclass(frozen=True, slots=True)
class Diagrams:
    """Diagrams to print together under a title."""

    title: str
    shapes: tuple[Shape, ...]
    label: Label = "fingers"


@dataclass(frozen=True, slots=True)
class Drawn:
    """A diagram as SVG elements from its upper left corner, and its size."""

    drawing: str
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class _Neck:
    """The piece of neck that a diagram shows.

    Parameters
    ----------
    strings : int
    first, last : int
        Frets.
    mirrored : bool
    """

    strings: int
    first: int
    last: int
    mirrored: bool

    @property
    def frets(self) -> int:
        return self.last - self.first + 1

    @property
    def lies(self) -> bool:
        return self.frets >= LYING

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the strings and frets alone."""
        across, along = (self.strings - 1) * STRING_GAP, self.frets * FRET_GAP
        return (along, across) if self.lies else (across, along)

    def place(self, string: float, fret: float) -> tuple[float, float]:
        """Return where a string (1 the first) is at a fret's wire; the nut's is first - 1."""
        along = (fret - self.first + 1) * FRET_GAP
        width, _ = self.size
        if self.lies:
            x, y = along, (string - 1) * STRING_GAP
        else:
            x, y = (self.strings - string) * STRING_GAP, along
        return (width - x if self.mirrored else x), y


def diagram(shape: Shape, label: Label = "fingers") -> Drawn:
    """Draw a shape.

    Parameters
    ----------
    shape : Shape
    label : {"fingers", "degrees"}
        What stands in the dots; nothing where the shape does not tell.
    """
    neck = _neck(shape)
    width, height = neck.size
    fitted = fitting(shape.name or " ", NAME_SIZE, width + 2 * BESIDE)
    parts = [
        text(shape.name, width / 2, -NAME_HEIGHT, fitted, anchor="middle"),
        *_lines(neck),
        *_numbers(neck),
        *(_mark(neck, mark, label) for mark in shape.marks),
        *_silent(neck, shape),
    ]
    drawing = f'<g transform="translate({BESIDE:.2f} {TITLE_ROOM:.2f})">{"".join(parts)}</g>'
    return Drawn(drawing, width + 2 * BESIDE, TITLE_ROOM + height + UNDER)


def rows(shapes: Sequence[Shape], label: Label, width: float, scale: float) -> tuple[Block, ...]:
    """Set diagrams in rows, those of one width in columns.

    Parameters
    ----------
    shapes : sequence of Shape
    label : {"fingers", "degrees"}
    width : float
    scale : float
        Size against the ordinary one.
    """
    made = [diagram(shape, label) for shape in shapes]
    return tuple(_row(row, at, column, scale) for row, at, column in _cut(made, width / scale))


def blocks(diagrams: Diagrams, width: float, scale: float) -> tuple[Block, ...]:
    """Return a title and its diagrams as blocks."""
    size = fitting(diagrams.title, TITLE_SIZE * scale, width)
    y = TITLE_SIZE * scale * LEADING
    title = text(diagrams.title, width / 2, y * 0.75, size, anchor="middle")
    return (Block(title, y), *rows(diagrams.shapes, diagrams.label, width, scale))


def _cut(made: Sequence[Drawn], width: float) -> Iterator[tuple[list[Drawn], float, float]]:
    """Cut diagrams into rows that fit a width; yield each with its left edge and column width.

    A row that is the only one of its kind stands in the middle.
    """
    for widest, alike in groupby(made, key=lambda one: one.width):
        count = max(1, int(width / widest))
        same = list(alike)
        left = max(0.0, width - len(same) * width / count) / 2
        for first in range(0, len(same), count):
            yield same[first : first + count], left, width / count


def _row(row: Sequence[Drawn], left: float, column: float, scale: float) -> Block:
    """Set each diagram in the middle of its column, smaller where it is too wide for it."""
    fits = min(1.0, column / max(one.width for one in row))
    drawing = "".join(
        f'<g transform="translate({left + (n + 0.5) * column - one.width * fits / 2:.2f} 0) '
        f'scale({fits:.4f})">{one.drawing}</g>'
        for n, one in enumerate(row)
    )
    height = max(one.height for one in row) * fits * scale
    return Block(f'<g transform="scale({scale})">{drawing}</g>', height, gap=1.0)


def _neck(shape: Shape) -> _Neck:
    stopped = [mark.fret for mark in shape.marks if mark.fret]
    opened = len(stopped) < len(shape.marks)
    last = max(stopped, default=LEAST_FRETS)
    first = 1 if opened or last <= NUT_REACH else min(stopped)
    last = max(last, min(first + LEAST_FRETS - 1, shape.tuning.frets))
    first = max(1, min(first, last - LEAST_FRETS + 1))
    return _Neck(len(shape.tuning.open_strings), first, last, shape.tuning.left_handed)


def _lines(neck: _Neck) -> Iterator[str]:
    """Yield frets, strings, and the nut where it is seen."""
    for fret in range(neck.first - 1, neck.last + 1):
        nut = 3.0 if fret == 0 else 0.7
        yield _line(neck.place(1, fret), neck.place(neck.strings, fret), nut)
    for string in range(1, neck.strings + 1):
        yield _line(neck.place(string, neck.first - 1), neck.place(string, neck.last), 0.7)


def _line(start: tuple[float, float], end: tuple[float, float], thick: float) -> str:
    (x1, y1), (x2, y2) = start, end
    return (
        f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" '
        f'stroke="currentColor" stroke-width="{thick}" stroke-linecap="square"/>'
    )


def _numbers(neck: _Neck) -> Iterator[str]:
    """Yield the number of the first fret beside it, or those under a lying neck."""
    if neck.lies:
        for fret in sorted(NUMBERED & set(range(neck.first, neck.last + 1)) | {neck.first}):
            x, y = neck.place(neck.strings, fret - 0.5)
            yield text(numeral(fret), x, y + UNDER, NUMBER_SIZE, anchor="middle")
    elif neck.first > 1:
        x, y = neck.place(1 if neck.mirrored else neck.strings, neck.first - 0.5)
        yield text(numeral(neck.first), x - DOT - 2, y + 2.8, NUMBER_SIZE, anchor="end")


def _mark(neck: _Neck, mark: Mark, label: Label) -> str:
    """Return a dot with its label; a ring over an open string."""
    hollow = str(mark.degree) == "1"
    x, y = neck.place(mark.string, mark.fret - 0.5 if mark.fret else neck.first - 1 + OPEN)
    fill, ink = ("white", "currentColor") if hollow or not mark.fret else ("currentColor", "white")
    radius = DOT if mark.fret else SIGN_SIZE
    dot = (
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius - 0.4}" fill="{fill}" '
        'stroke="currentColor" stroke-width="0.8"/>'
    )
    words = _label(mark, label) if mark.fret else ""
    size = min(7.5, 8.6 / max(len(words), 1) ** 0.5)
    return dot + (
        f'<text x="{x:.2f}" y="{y + size * 0.34:.2f}" font-size="{size:.2f}" fill="{ink}" '
        f'text-anchor="middle">{signed(words, size)}</text>'
        if words
        else ""
    )


def _label(mark: Mark, label: Label) -> str:
    if label == "fingers":
        return "" if mark.finger is None else str(mark.finger)
    return "".join(SIGNS.get(letter, letter) for letter in str(mark.degree))


def _silent(neck: _Neck, shape: Shape) -> Iterator[str]:
    """Yield a cross over each silent string of a chord."""
    used = sorted(mark.string for mark in shape.marks)
    if any(a == b for a, b in pairwise(used)):
        return
    for string in shape.silent:
        x, y = neck.place(string, neck.first - 1 + OPEN)
        for slope in (1, -1):
            ends = ((x - SIGN_SIZE, y - slope * SIGN_SIZE), (x + SIGN_SIZE, y + slope * SIGN_SIZE))
            yield _line(*ends, 0.8)
