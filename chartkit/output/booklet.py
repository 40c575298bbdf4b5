"""Several sheets in one booklet: a list of what is in it on the first page, then one after another.

Conventions: there is no cover. A sheet that fits on a page is not parted, and short ones share a
page; those of one piece have its title once, on the first page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Final

from chartkit.notate import Sheet
from chartkit.output.blocks import (
    AFTER_HEADING,
    DEPTH,
    LEADING,
    NOTE_SIZE,
    TITLE_SIZE,
    Block,
    fitting,
    text,
    wrapped,
)
from chartkit.output.pages import Page, laid_out
from chartkit.output.paper import Paper
from chartkit.output.setting import blocks
from chartkit.output.sizes import Sizes

ENTRY_SIZE: Final = 9.5
COLUMN_GAP: Final = 24.0
FEW: Final = 5
"""So many entries stand in one column, more in two."""

SMALLEST_ENTRY: Final = 7.5
"""Where two columns would make an entry smaller than this, one has to do."""

NUMBER_WIDTH: Final = 4.0
"""Room that an entry's page takes at the end of its line, in sizes of its letters."""

RULE: Final = 0.1
RULE_DEPTH: Final = 0.3
"""The line that leads the eye to the page: its width in points; how far under the letters' foot."""

ITEM_SCALE: Final = 0.7
"""Size of a sheet's title against the booklet's."""

BETWEEN: Final = 2.2
"""White between two sheets, against that between two systems."""


@dataclass(frozen=True, slots=True)
class Booklet:
    """Sheets to print together.

    Parameters
    ----------
    title : str
    sheets : tuple of Sheet
        At least one.
    notes : tuple of str
        Free text under the list of contents, one entry a paragraph.
    """

    title: str
    sheets: tuple[Sheet, ...]
    notes: tuple[str, ...] = ()

    @property
    def entries(self) -> tuple[str, ...]:
        """What each sheet is called in the list of contents."""
        return tuple(_item(self, sheet).title for sheet in self.sheets)


def pages(booklet: Booklet, paper: Paper, footing: float, sizes: Sizes) -> tuple[Page, ...]:
    """Lay a booklet out.

    Parameters
    ----------
    booklet : Booklet
    paper : Paper
    footing : float
        Height that every page keeps free at its foot, in points.
    sizes : Sizes

    Raises
    ------
    OutputError
        The engraver refuses a sheet.
    """
    room = paper.height - paper.top - paper.bottom - footing
    width = paper.inner_width
    opening = _opening(booklet, [0] * len(booklet.sheets), width, sizes)
    items = [
        blocks(
            _item(booklet, sheet),
            width,
            room if number else room - opening.height,
            sizes,
            largest=sizes.usual,
            title=ITEM_SCALE,
        )
        for number, sheet in enumerate(booklet.sheets)
    ]
    parted = [block for number, item in enumerate(items) for block in _apart(item, number)]
    found = laid_out([opening, *parted], paper, footing)
    starts = accumulate((len(item) for item in items[:-1]), initial=1)
    numbers = [page.number for page in found for _ in page.blocks]
    contents = _opening(booklet, [numbers[start] for start in starts], width, sizes)
    (top, _), *others = found[0].blocks
    return (replace(found[0], blocks=((top, contents), *others)), *found[1:])


def _item(booklet: Booklet, sheet: Sheet) -> Sheet:
    """Return a sheet as it is headed in a booklet: a title that all share is not said again."""
    shared = sheet.title == booklet.title
    named = (sheet.subtitle,) if shared else (sheet.title, sheet.subtitle)
    words = ": ".join(filter(None, named)) or sheet.title
    return replace(sheet, title=words, subtitle="", composer="" if shared else sheet.composer)


def _apart(item: tuple[Block, ...], number: int) -> tuple[Block, ...]:
    """Set a sheet apart from those before it: its place, and the ids in its drawings."""
    first, *rest = (
        replace(block, drawing=block.drawing.replace('id="', f'id="sheet-{number + 1}-'))
        for block in item
    )
    return (replace(first, gap=BETWEEN if number else 0.0), *rest)


def _opening(booklet: Booklet, numbers: Sequence[int], width: float, sizes: Sizes) -> Block:
    """Return the title and the list of contents, in one column or two."""
    size = TITLE_SIZE * sizes.text
    fitted = fitting(booklet.title or " ", size, width)
    title = text(booklet.title, width / 2, size * (LEADING - DEPTH), fitted, anchor="middle")
    columns = 1 if len(numbers) <= FEW or _long(booklet, width, sizes) else 2
    rows = -(-len(numbers) // columns)
    column = (width - COLUMN_GAP * (columns - 1)) / columns
    entry = _entry_size(booklet, column, sizes)
    listed = "".join(
        _entry(
            words,
            page,
            (n // rows * (column + COLUMN_GAP), column),
            (size + (n % rows + 1) * entry) * LEADING,
            entry,
        )
        for n, (words, page) in enumerate(zip(booklet.entries, numbers, strict=True))
    )
    height = (size + rows * entry) * LEADING + 2 * AFTER_HEADING
    noted, more = _notes(booklet, width, height, sizes)
    return Block(title + listed + noted, height + more)


def _long(booklet: Booklet, width: float, sizes: Sizes) -> bool:
    """Tell whether two columns would make the list too small to read."""
    column = (width - COLUMN_GAP) / 2
    return _entry_size(booklet, column, sizes) < SMALLEST_ENTRY * sizes.text


def _notes(booklet: Booklet, width: float, top: float, sizes: Sizes) -> tuple[str, float]:
    """Return the notes as a drawing under a height, and the height that they add."""
    size = NOTE_SIZE * sizes.text
    lines = [line for note in booklet.notes for line in wrapped(note, size, width)]
    drawing = "".join(
        text(line, width / 2, top + n * size * LEADING, size, anchor="middle", style="italic")
        for n, line in enumerate(lines)
    )
    return drawing, (len(lines) * size * LEADING + AFTER_HEADING if lines else 0.0)


def _entry_size(booklet: Booklet, column: float, sizes: Sizes) -> float:
    """Return the size at which every entry fits its column."""
    size = ENTRY_SIZE * sizes.text
    room = column - NUMBER_WIDTH * size
    return min(fitting(words or " ", size, room) for words in booklet.entries)


def _entry(words: str, page: int, place: tuple[float, float], y: float, size: float) -> str:
    """Return a line of the list, its page last; `place` is where it begins and how wide it is."""
    left, width = place
    told = text(f"page {page}", left + width, y, size, anchor="end")
    under = y + RULE_DEPTH * size
    rule = (
        f'<path d="M{left:.2f} {under:.2f} H{left + width:.2f}" '
        f'stroke="black" stroke-width="{RULE}" fill="none"/>'
    )
    return text(words, left, y, size) + told + rule
