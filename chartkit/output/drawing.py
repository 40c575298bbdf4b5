"""A page as one SVG drawing: its blocks and its foot.

Conventions: points from the paper's upper left corner. Text stays text, in the fonts of
`chartkit.output.typefaces`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from chartkit.output.blocks import LEADING, text, wrapped
from chartkit.output.markup import SVG, XLINK
from chartkit.output.pages import Page
from chartkit.output.paper import Paper
from chartkit.output.typefaces import TEXT

STYLE: Final = """\
g.ending, g.reh, g.tempo { font-weight: bold }
g.dir { font-style: italic }
g.system ellipse, g.system path, g.system polygon, g.system polyline, g.system rect
{ stroke: currentColor }
"""
"""How the engraver's own style sheet draws its elements."""

TEXT_FAMILY: Final = f"{TEXT}, Times New Roman, Times, serif"

FOOT_SIZE: Final = 8.0
BEFORE_FOOT: Final = 6.0
"""White between the last block and the foot."""


@dataclass(frozen=True, slots=True)
class Foot:
    """What stands at the foot of every page.

    Parameters
    ----------
    title : str
        Named beside the page's number, where there are several.
    caution : str
    size : float
        Of its letters, in points.
    """

    title: str
    caution: str
    size: float = FOOT_SIZE

    def height(self, paper: Paper) -> float:
        """Return the height that it takes, in points."""
        return self.size * LEADING * (1 + len(self.lines(paper))) + BEFORE_FOOT

    def lines(self, paper: Paper) -> list[str]:
        """Return the caution in lines that fit the paper."""
        return wrapped(self.caution, self.size, paper.inner_width)


def drawn(page: Page, pages: int, foot: Foot, paper: Paper, style: str = "") -> str:
    """Return a page as SVG.

    Parameters
    ----------
    page : Page
    pages : int
        How many there are.
    foot : Foot
    paper : Paper
    style : str
        More style sheet, such as the fonts of a drawing that stands alone.
    """
    glyphs = {name: glyph for _, block in page.blocks for name, glyph in block.glyphs}
    parts = [
        _opening(paper),
        f"<style>{STYLE}{style}</style>",
        f"<defs>{''.join(glyphs.values())}</defs>",
        *(
            f'<g transform="translate({paper.side:.3f} {top:.3f})">{block.drawing}</g>'
            for top, block in page.blocks
        ),
        *_foot(page, pages, foot, paper),
        "</svg>",
    ]
    return "\n".join(parts)


def _opening(paper: Paper) -> str:
    size = f'width="{paper.width}pt" height="{paper.height}pt"'
    box = f'viewBox="0 0 {paper.width} {paper.height}"'
    return f'<svg xmlns="{SVG}" xmlns:xlink="{XLINK}" {size} {box} font-family="{TEXT_FAMILY}">'


def _foot(page: Page, pages: int, foot: Foot, paper: Paper) -> Iterator[str]:
    """Yield the caution and which page of how many it is."""
    y, middle = paper.height - paper.bottom, paper.width / 2
    if pages > 1:
        words = " \u2013 ".join(filter(None, (foot.title, f"page {page.number} of {pages}")))
        yield text(words, middle, y, foot.size, anchor="middle")
    for above, line in enumerate(reversed(foot.lines(paper)), start=1):
        yield text(
            line,
            middle,
            y - above * foot.size * LEADING,
            foot.size,
            anchor="middle",
            style="italic",
        )
