"""What stands whole on a page: headings, engraved systems, diagrams, lines of text.

Conventions: points; a block's drawing has its origin at the block's upper edge and the left margin.
Text stays text, in the fonts of `chartkit.output.typefaces`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from html import escape
from textwrap import wrap
from typing import Final

from chartkit.notate import Sheet
from chartkit.output.musicxml_signs import decimal
from chartkit.output.systems import System
from chartkit.output.typefaces import MUSIC

TITLE_SIZE: Final = 20.0
SUBTITLE_SIZE: Final = 11.0
SMALL_SIZE: Final = 10.0
NOTE_SIZE: Final = 8.0
NUMBER_SIZE: Final = 8.0
LEADING: Final = 1.35
"""From one line of text to the next, in sizes."""

AFTER_HEADING: Final = 8.0
"""White between a heading and the first system."""

DEPTH: Final = 0.3
"""From the foot of a line of text up to its letters' foot, in sizes."""

LETTER_WIDTH: Final = 0.55
"""Width of a letter on average, in sizes; errs on the wide side."""

RUNNING_WIDTH: Final = 0.48
"""The same in a line of running text, where wide and narrow letters even out."""

METRONOME: Final = {
    Fraction(1): "\ueca5",
    Fraction(2): "\ueca3",
    Fraction(3, 2): "\ueca5\uecb7",
}
"""The notes of a metronome mark in SMuFL, the Standard Music Font Layout."""

SIGNS: Final = {"♭": "\uea64", "♯": "\uea66"}
"""The signs for use among letters in SMuFL, the Standard Music Font Layout."""

SIGN_SIZE: Final = 2.0
"""Their size against the letters'."""

BAD_TURN: Final = 10.0
PARTED: Final = 3000.0
"""Costs of turning the page inside a section, and between what should stand on one page."""


@dataclass(frozen=True, slots=True)
class Block:
    """Something that stands whole on a page.

    Parameters
    ----------
    drawing : str
        SVG elements.
    height : float
        In points.
    gap : float
        White before it, against that between two systems; none at the top of a page.
    turn : float
        What it costs to turn the page after it; see `chartkit.output.pages`.
    glyphs : tuple of (str, str)
        The drawings that it uses, by their ids.
    """

    drawing: str
    height: float
    gap: float = 0.0
    turn: float = 0.0
    glyphs: tuple[tuple[str, str], ...] = ()


def heading(sheet: Sheet, width: float, scale: float = 1.0, title: float = 1.0) -> Block:
    """Return title and subtitle in the middle; feel and tempo left, composer right.

    Parameters
    ----------
    sheet : Sheet
    width : float
        Between the margins.
    scale, title : float
        Size of all text against the ordinary, and of the title against the text.
    """
    rows = [
        (sheet.title, TITLE_SIZE * scale * title, "normal"),
        (sheet.subtitle, SUBTITLE_SIZE * scale, "italic"),
    ]
    parts, y = [], 0.0
    for words, size, style in rows:
        if words:
            y += size * LEADING
            fitted = fitting(words, size, width)
            parts.append(
                text(words, width / 2, y - size * DEPTH, fitted, anchor="middle", style=style)
            )
    small = SMALL_SIZE * scale
    if any((sheet.measures[0].feel, sheet.tempo, sheet.composer)):
        y += small * LEADING
        parts += _feel_and_tempo(sheet, y - small * DEPTH, small)
        if sheet.composer:
            parts.append(text(sheet.composer, width, y - small * DEPTH, small, anchor="end"))
    return Block("".join(parts), y + AFTER_HEADING, turn=PARTED)


def _feel_and_tempo(sheet: Sheet, y: float, size: float) -> Iterator[str]:
    feel = escape(sheet.measures[0].feel.capitalize())
    tempo = ""
    if sheet.tempo:
        note = METRONOME[sheet.tempo.unit]
        tempo = f'<tspan font-family="{MUSIC}">{note}</tspan> = {decimal(sheet.tempo.count)}'
    if feel or tempo:
        words = "\u2003".join(filter(None, (feel, tempo)))
        yield f'<text x="0" y="{y:.2f}" font-size="{size}">{words}</text>'


def engraved(system: System, gap: float, scale: float = 1.0) -> Block:
    """Return a system with its bar number in the margin."""
    number, size = system.measures[0].id.number, NUMBER_SIZE * scale
    margin = ""
    if number:
        y = system.staff_top + size / 3
        margin = text(str(number), -size / 2, y, size, anchor="end", style="italic")
    turn = 0.0 if system.ends_section else BAD_TURN
    return Block(system.drawing + margin, system.height, gap, turn, system.glyphs)


def notes(sheet: Sheet, width: float, scale: float = 1.0) -> tuple[Block, ...]:
    """Return a sheet's notes as one block, in lines that fit the width; none without notes."""
    size = NOTE_SIZE * scale
    lines = [line for note in sheet.notes for line in wrapped(note, size, width)]
    drawing = "".join(
        text(line, width / 2, (n + 1) * size * LEADING, size, anchor="middle", style="italic")
        for n, line in enumerate(lines)
    )
    height = size * LEADING * len(lines) + size * DEPTH
    return (Block(drawing, height, gap=1.0),) if lines else ()


def wrapped(words: str, size: float, width: float) -> list[str]:
    """Cut a text into lines that fit a width."""
    return wrap(words, int(width / (size * RUNNING_WIDTH)))


def fitting(words: str, size: float, width: float) -> float:
    """Return the size at which a text fits a width, at most `size`."""
    return min(size, width / (LETTER_WIDTH * len(words)))


def text(
    words: str, x: float, y: float, size: float, *, anchor: str = "start", style: str = "normal"
) -> str:
    """Return a line of text as SVG, its letters' foot at `y`."""
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size:.2f}" text-anchor="{anchor}" '
        f'font-style="{style}">{signed(words, size)}</text>'
    )


def signed(words: str, size: float) -> str:
    """Return words as SVG, their flats and sharps from the music font and as tall as letters."""
    return "".join(
        f'<tspan font-family="{MUSIC}" font-size="{size * SIGN_SIZE:.2f}">{sign}</tspan>'
        if (sign := SIGNS.get(letter))
        else escape(letter)
        for letter in words
    )
