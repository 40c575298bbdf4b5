"""A page as one SVG drawing: heading, systems with their bar numbers, foot.

Conventions: points from the paper's upper left corner. Text stays text, in the fonts of
`chartkit.output.typefaces`.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from html import escape
from textwrap import wrap
from typing import Final

from chartkit.notate import Sheet
from chartkit.output.markup import SVG, XLINK
from chartkit.output.musicxml_signs import decimal
from chartkit.output.pages import Page
from chartkit.output.paper import Paper
from chartkit.output.systems import System
from chartkit.output.typefaces import MUSIC, TEXT

STYLE: Final = """\
g.ending, g.reh, g.tempo { font-weight: bold }
g.dir { font-style: italic }
g.system ellipse, g.system path, g.system polygon, g.system polyline, g.system rect
{ stroke: currentColor }
"""
"""How the engraver's own style sheet draws its elements."""

TITLE_SIZE: Final = 20.0
SUBTITLE_SIZE: Final = 11.0
SMALL_SIZE: Final = 10.0
FOOT_SIZE: Final = 8.0
NUMBER_SIZE: Final = 8.0
LEADING: Final = 1.35
"""From one line of text to the next, in sizes."""

AFTER_HEADING: Final = 8.0
"""White between the heading and the first system."""

BEFORE_FOOT: Final = 6.0
"""White between the last system and the foot."""

DEPTH: Final = 0.3
"""From the foot of a line of text up to its letters' foot, in sizes."""

TEXT_FAMILY: Final = f"{TEXT}, Times New Roman, Times, serif"

LETTER_WIDTH: Final = 0.55
"""Width of a letter on average, in sizes; errs on the wide side."""

METRONOME: Final = {
    Fraction(1): "\ueca5",
    Fraction(2): "\ueca3",
    Fraction(3, 2): "\ueca5\uecb7",
}
"""The notes of a metronome mark in SMuFL, the Standard Music Font Layout."""


def heading_height(sheet: Sheet) -> float:
    """Return the height that the heading takes on the first page, in points."""
    title = TITLE_SIZE * LEADING if sheet.title else 0.0
    subtitle = SUBTITLE_SIZE * LEADING if sheet.subtitle else 0.0
    small = SMALL_SIZE * LEADING if any((_feel(sheet), sheet.tempo, sheet.composer)) else 0.0
    return title + subtitle + small + AFTER_HEADING


def footing_height(sheet: Sheet, paper: Paper) -> float:
    """Return the height that the foot takes on every page, in points."""
    return FOOT_SIZE * LEADING * (1 + len(_foot_lines(sheet, paper))) + BEFORE_FOOT


def drawn(sheet: Sheet, page: Page, pages: int, paper: Paper, style: str = "") -> str:
    """Return a page as SVG.

    Parameters
    ----------
    sheet : Sheet
    page : Page
    pages : int
        How many there are.
    paper : Paper
    style : str
        More style sheet, such as the fonts of a drawing that stands alone.
    """
    glyphs = {name: glyph for _, system in page.systems for name, glyph in system.glyphs}
    parts = [
        _opening(paper),
        f"<style>{STYLE}{style}</style>",
        f"<defs>{''.join(glyphs.values())}</defs>",
        *(_heading(sheet, paper) if page.number == 1 else ()),
        *(part for top, system in page.systems for part in _system(top, system, paper)),
        *_foot(sheet, page, pages, paper),
        "</svg>",
    ]
    return "\n".join(parts)


def _opening(paper: Paper) -> str:
    size = f'width="{paper.width}pt" height="{paper.height}pt"'
    box = f'viewBox="0 0 {paper.width} {paper.height}"'
    return f'<svg xmlns="{SVG}" xmlns:xlink="{XLINK}" {size} {box} font-family="{TEXT_FAMILY}">'


def _system(top: float, system: System, paper: Paper) -> Iterator[str]:
    yield f'<g transform="translate({paper.side:.3f} {top:.3f})">{system.drawing}</g>'
    number = system.measures[0].id.number
    if number:
        x, y = paper.side - NUMBER_SIZE / 2, top + system.staff_top + NUMBER_SIZE / 3
        yield _text(str(number), x, y, NUMBER_SIZE, anchor="end", style="italic")


def _heading(sheet: Sheet, paper: Paper) -> Iterator[str]:
    """Yield title and subtitle in the middle; feel and tempo left, composer right of the staff."""
    y, middle = paper.top, paper.width / 2
    for text, size, style in (
        (sheet.title, TITLE_SIZE, "normal"),
        (sheet.subtitle, SUBTITLE_SIZE, "italic"),
    ):
        if text:
            y += size * LEADING
            fitted = min(size, paper.inner_width / (LETTER_WIDTH * len(text)))
            yield _text(text, middle, y - size * DEPTH, fitted, anchor="middle", style=style)
    y += SMALL_SIZE * (LEADING - DEPTH)
    yield from _feel_and_tempo(sheet, paper.side, y)
    if sheet.composer:
        yield _text(sheet.composer, paper.width - paper.side, y, SMALL_SIZE, anchor="end")


def _feel_and_tempo(sheet: Sheet, x: float, y: float) -> Iterator[str]:
    feel = escape(_feel(sheet))
    tempo = ""
    if sheet.tempo:
        note = METRONOME[sheet.tempo.unit]
        tempo = f'<tspan font-family="{MUSIC}">{note}</tspan> = {decimal(sheet.tempo.count)}'
    if feel or tempo:
        words = "\u2003".join(filter(None, (feel, tempo)))
        yield f'<text x="{x:.2f}" y="{y:.2f}" font-size="{SMALL_SIZE}">{words}</text>'


def _feel(sheet: Sheet) -> str:
    return sheet.measures[0].feel.capitalize()


def _foot(sheet: Sheet, page: Page, pages: int, paper: Paper) -> Iterator[str]:
    """Yield the notes on the last page, the caution on each, and which page of how many it is."""
    y, middle = paper.height - paper.bottom, paper.width / 2
    if pages > 1:
        words = " \u2013 ".join(filter(None, (sheet.title, f"page {page.number} of {pages}")))
        yield _text(words, middle, y, FOOT_SIZE, anchor="middle")
    lines = _foot_lines(sheet, paper, last=page.number == pages)
    for above, line in enumerate(reversed(lines), start=1):
        height = y - above * FOOT_SIZE * LEADING
        yield _text(line, middle, height, FOOT_SIZE, anchor="middle", style="italic")


def _foot_lines(sheet: Sheet, paper: Paper, *, last: bool = True) -> list[str]:
    """Return the caution and, on the last page, the notes, in lines that fit the paper."""
    letters = int(paper.inner_width / (FOOT_SIZE * LETTER_WIDTH))
    texts = (*(sheet.notes if last else ()), sheet.caution)
    return [line for text in texts for line in wrap(text, letters)]


def _text(text: str, x: float, y: float, size: float, *, anchor: str, style: str = "normal") -> str:
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size:.2f}" text-anchor="{anchor}" '
        f'font-style="{style}">{escape(text)}</text>'
    )
