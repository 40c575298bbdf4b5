"""A sheet as printed pages: SVG, PDF, PNG.

The engraver (verovio) draws the systems, `chartkit.output.pages` places them on paper, and the page
maker (typst) turns the drawn pages into PDF or PNG with the fonts embedded. The same sheet gives
the same bytes: no clock is read, and no font of the machine's, unless there are words in a script
that ours lack.
"""

from __future__ import annotations

from importlib.resources import files
from typing import Final

from chartkit.notate import Sheet
from chartkit.output.drawing import drawn, footing_height, heading_height
from chartkit.output.pages import LEAST_GAP, Page, laid_out, least_height
from chartkit.output.paper import A4, LETTER, PAPERS, Paper
from chartkit.output.systems import LARGEST, SMALLEST, USUAL, Engraving, System
from chartkit.output.typefaces import font_folder, music_style

__all__ = ["A4", "LETTER", "PAPERS", "Paper", "pdf", "png", "svg"]

SHRINK: Final = 0.985
"""A little less than what should just fit, since white space does not shrink in proportion."""

LAST_LETTER: Final = "\u052f"
"""End of the Latin, Greek and Cyrillic letters in Unicode, which the text font has."""

DOTS_AN_INCH: Final = 150
"""Resolution of a PNG page."""


def svg(sheet: Sheet, paper: Paper = A4) -> tuple[str, ...]:
    """Return each page as an SVG drawing that stands alone, its music font included."""
    return _drawings(sheet, paper, music_style())


def pdf(sheet: Sheet, paper: Paper = A4) -> bytes:
    """Return all pages as a PDF, text as text, fonts embedded.

    Raises
    ------
    OutputError
        The engraver refuses the sheet, or its fonts cannot be unpacked.
    """
    return _compiled(sheet, paper, _drawings(sheet, paper), format="pdf")


def png(sheet: Sheet, paper: Paper = A4) -> tuple[bytes, ...]:
    """Return each page as a PNG picture of `DOTS_AN_INCH`.

    Raises
    ------
    OutputError
        The engraver refuses the sheet, or its fonts cannot be unpacked.
    """
    return tuple(
        _compiled(sheet, paper, (page,), format="png", ppi=DOTS_AN_INCH)
        for page in _drawings(sheet, paper)
    )


def _drawings(sheet: Sheet, paper: Paper, style: str = "") -> tuple[str, ...]:
    pages = _pages(sheet, paper)
    return tuple(drawn(sheet, page, len(pages), paper, style) for page in pages)


def _pages(sheet: Sheet, paper: Paper) -> tuple[Page, ...]:
    """Set a sheet on one page if it fits there at a size that can be read, else on several."""
    heading, footing = heading_height(sheet), footing_height(sheet, paper)
    room = paper.height - paper.top - paper.bottom - heading - footing
    engraving = Engraving(sheet, paper.inner_width)
    systems = _on_one_page(engraving, room) or engraving.systems(USUAL)
    return laid_out(systems, paper, heading, footing)


def _on_one_page(engraving: Engraving, room: float) -> tuple[System, ...] | None:
    """Engrave as large as one page allows; None where that would be too small to read."""
    staff = min(LARGEST, engraving.widest, engraving.filling(room, LEAST_GAP) * SHRINK)
    while staff >= SMALLEST:
        systems = engraving.systems(staff)
        over = least_height(systems) / room
        if over <= 1:
            return systems
        staff *= SHRINK / over
    return None


def _own_fonts_suffice(sheet: Sheet) -> bool:
    """Tell whether a sheet's words are in the scripts of our own text font."""
    words = (words.text for measure in sheet.measures for words in measure.words)
    texts = (sheet.title, sheet.subtitle, sheet.composer, *sheet.notes, *words)
    return all(char <= LAST_LETTER for text in texts for char in text)


def _compiled(sheet: Sheet, paper: Paper, pages: tuple[str, ...], **form: str | int) -> bytes:
    """Hand drawn pages to the page maker."""
    import typst

    sources = {f"page-{n}.svg": page.encode() for n, page in enumerate(pages)}
    made = typst.compile(  # type: ignore[call-overload]  # its types leave out sources by name
        {"main": (files("chartkit.output") / "page.typ").read_bytes(), **sources},
        font_paths=[font_folder()],
        ignore_system_fonts=_own_fonts_suffice(sheet),
        timestamp=0,
        sys_inputs={
            "width": f"{paper.width}pt",
            "height": f"{paper.height}pt",
            "title": sheet.title or "Untitled",
            "author": sheet.composer,
            "pages": str(len(pages)),
        },
        **form,
    )
    assert isinstance(made, bytes)  # one document, or one page asked for as a picture
    return made
