"""Twelve keys by twelve positions: a square for each, its figure the days on which it was played.

A white square was not played, a grey one was, a black one was clean at least once.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from chartkit.guitar.fretboard import numeral
from chartkit.notate.symbols import SIGNS
from chartkit.output.blocks import text
from chartkit.output.strokes import GREY, box
from chartkit.practice.coverage import KEYS, POSITIONS, Square
from chartkit.practice.looking import Report

CELL: Final = 15.0
LEFT: Final = 18.0
HEAD: Final = 12.0
UNDER: Final = 26.0
SIZE: Final = 7.5


def width() -> float:
    """Return the width of the map with its names."""
    return LEFT + CELL * len(POSITIONS)


def height() -> float:
    """Return the height of the map with its names and the words under it."""
    return HEAD + CELL * len(KEYS) + UNDER


def drawing(report: Report) -> str:
    """Draw the map of a report."""
    return "".join((*_names(), *map(_square, report.squares), *_words()))


def _names() -> Iterator[str]:
    for column, position in enumerate(POSITIONS):
        x = LEFT + (column + 0.5) * CELL
        yield text(numeral(position), x, HEAD - 3, SIZE, anchor="middle")
    for row, key in enumerate(KEYS):
        signed = "".join(SIGNS.get(letter, letter) if n else letter for n, letter in enumerate(key))
        yield text(signed, LEFT - 4, HEAD + (row + 0.5) * CELL + 2.6, SIZE, anchor="end")


def _square(one: Square) -> str:
    row, column = KEYS.index(one.key), POSITIONS.index(one.position)
    x, y = LEFT + column * CELL, HEAD + row * CELL
    fill = "black" if one.clean else GREY if one.days else "white"
    drawn = box((x + 0.75, y + 0.75), CELL - 1.5, CELL - 1.5, fill, edge=GREY)
    if not one.days:
        return drawn
    ink = "white" if one.clean else "black"
    size = SIZE if one.days < 100 else SIZE * 0.8  # noqa: PLR2004
    return drawn + (
        f'<text x="{x + CELL / 2:.2f}" y="{y + CELL / 2 + size * 0.35:.2f}" font-size="{size}" '
        f'text-anchor="middle" fill="{ink}">{one.days}</text>'
    )


def _words() -> Iterator[str]:
    y = HEAD + CELL * len(KEYS) + 14
    x = LEFT
    for fill, words, wide in (
        ("black", "clean at least once", 92.0),
        (GREY, "played", 46.0),
        ("white", "not yet", 30.0),
    ):
        yield box((x, y - 6.5), 7.5, 7.5, fill, edge=GREY)
        yield text(words, x + 11, y, SIZE)
        x += wide
