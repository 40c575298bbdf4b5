"""Sheets, booklets and diagrams as printed pages: SVG, PDF, PNG.

The engraver (verovio) draws the systems, `chartkit.output.pages` places them on paper, and the page
maker (typst) turns the drawn pages into PDF or PNG with the fonts embedded. The same sheet gives
the same bytes: no clock is read, and no font of the machine's, unless there are words in a script
that ours lack.
"""

from __future__ import annotations

from importlib.resources import files
from typing import Final, TypeAlias

from chartkit.notate import Sheet
from chartkit.notate.line import CAUTION
from chartkit.output import booklet, diagram, progress_page, setting
from chartkit.output.booklet import Booklet
from chartkit.output.diagram import Diagrams
from chartkit.output.drawing import FOOT_SIZE, Foot, drawn
from chartkit.output.pages import Page, laid_out
from chartkit.output.paper import A4, LETTER, PAPERS, Paper
from chartkit.output.progress_page import ProgressPage
from chartkit.output.sizes import LARGE, ORDINARY, Sizes
from chartkit.output.typefaces import font_folder, music_style

__all__ = [
    "A4",
    "LARGE",
    "LETTER",
    "ORDINARY",
    "PAPERS",
    "Booklet",
    "Diagrams",
    "Paper",
    "ProgressPage",
    "pdf",
    "png",
    "svg",
]

Printed: TypeAlias = Sheet | Booklet | Diagrams | ProgressPage

LAST_LETTER: Final = "\u052f"
"""End of the Latin, Greek and Cyrillic letters in Unicode, which the text font has."""

DOTS_AN_INCH: Final = 150
"""Resolution of a PNG page."""


def svg(printed: Printed, paper: Paper = A4, sizes: Sizes = ORDINARY) -> tuple[str, ...]:
    """Return each page as an SVG drawing that stands alone, its music font included."""
    return _drawings(printed, paper, sizes, music_style())


def pdf(printed: Printed, paper: Paper = A4, sizes: Sizes = ORDINARY) -> bytes:
    """Return all pages as a PDF, text as text, fonts embedded.

    Raises
    ------
    OutputError
        The engraver refuses a sheet, or its fonts cannot be unpacked.
    """
    return _compiled(printed, paper, _drawings(printed, paper, sizes), format="pdf")


def png(printed: Printed, paper: Paper = A4, sizes: Sizes = ORDINARY) -> tuple[bytes, ...]:
    """Return each page as a PNG picture of `DOTS_AN_INCH`.

    Raises
    ------
    OutputError
        The engraver refuses a sheet, or its fonts cannot be unpacked.
    """
    return tuple(
        _compiled(printed, paper, (page,), format="png", ppi=DOTS_AN_INCH)
        for page in _drawings(printed, paper, sizes)
    )


def _drawings(printed: Printed, paper: Paper, sizes: Sizes, style: str = "") -> tuple[str, ...]:
    foot = Foot(printed.title, _caution(printed), FOOT_SIZE * sizes.text)
    pages = _pages(printed, paper, foot.height(paper), sizes)
    return tuple(drawn(page, len(pages), foot, paper, style) for page in pages)


def _caution(printed: Printed) -> str:
    if isinstance(printed, ProgressPage):
        return printed.caution
    if isinstance(printed, Diagrams):
        held = (s for s in printed.shapes if s.stretched and any(m.finger for m in s.marks))
        return CAUTION if any(held) else ""
    return next((sheet.caution for sheet in _sheets(printed) if sheet.caution), "")


def _sheets(printed: Printed) -> tuple[Sheet, ...]:
    if isinstance(printed, Diagrams | ProgressPage):
        return ()
    return printed.sheets if isinstance(printed, Booklet) else (printed,)


def _pages(printed: Printed, paper: Paper, footing: float, sizes: Sizes) -> tuple[Page, ...]:
    if isinstance(printed, Booklet):
        return booklet.pages(printed, paper, footing, sizes)
    if isinstance(printed, Diagrams):
        return laid_out(diagram.blocks(printed, paper.inner_width, sizes.text), paper, footing)
    room = paper.height - paper.top - paper.bottom - footing
    if isinstance(printed, ProgressPage):
        return laid_out([progress_page.block(printed, paper.inner_width, room)], paper, footing)
    blocks = setting.blocks(printed, paper.inner_width, room, sizes, largest=sizes.largest)
    return laid_out(blocks, paper, footing)


def _own_fonts_suffice(printed: Printed) -> bool:
    """Tell whether the words are in the scripts of our own text font."""
    texts = [printed.title, *(printed.words if isinstance(printed, ProgressPage) else ())]
    for sheet in _sheets(printed):
        words = (words.text for measure in sheet.measures for words in measure.words)
        texts += [sheet.title, sheet.subtitle, sheet.composer, *sheet.notes, *words]
    return all(char <= LAST_LETTER for text in texts for char in text)


def _compiled(printed: Printed, paper: Paper, pages: tuple[str, ...], **form: str | int) -> bytes:
    """Hand drawn pages to the page maker."""
    import typst

    sources = {f"page-{n}.svg": page.encode() for n, page in enumerate(pages)}
    made = typst.compile(  # type: ignore[call-overload]  # its types leave out sources by name
        {"main": (files("chartkit.output") / "page.typ").read_bytes(), **sources},
        font_paths=[font_folder()],
        ignore_system_fonts=_own_fonts_suffice(printed),
        timestamp=0,
        sys_inputs={
            "width": f"{paper.width}pt",
            "height": f"{paper.height}pt",
            "title": printed.title or "Untitled",
            "author": next((sheet.composer for sheet in _sheets(printed)), ""),
            "pages": str(len(pages)),
        },
        **form,
    )
    assert isinstance(made, bytes)  # one document, or one page asked for as a picture
    return made
