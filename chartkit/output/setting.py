"""A sheet set in blocks: as large as one page allows, else at the usual size on several.

Conventions: points.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from chartkit.notate import Sheet
from chartkit.output.blocks import PARTED, Block, engraved, heading, notes
from chartkit.output.diagram import rows
from chartkit.output.pages import LEAST_GAP, least_height
from chartkit.output.sizes import Sizes
from chartkit.output.systems import Engraving

SHRINK: Final = 0.985
"""A little less than what should just fit, since white space does not shrink in proportion."""


def blocks(
    sheet: Sheet,
    width: float,
    room: float,
    sizes: Sizes,
    *,
    largest: float,
    title: float = 1.0,
) -> tuple[Block, ...]:
    """Return a sheet's blocks, its heading first.

    Parameters
    ----------
    sheet : Sheet
    width, room : float
        Of the page, between margins and foot.
    sizes : Sizes
    largest : float
        Height of staff that is not to be passed.
    title : float
        Size of its title against that of a sheet alone.

    Returns
    -------
    tuple of Block
        Those that fit on one page together are not to be parted.

    Raises
    ------
    OutputError
        The engraver refuses the sheet.
    """
    head = heading(sheet, width, sizes.text, title)
    under = rows(sheet.shapes, "fingers", width, sizes.text)
    tail = (*under, *notes(sheet, width, sizes.text))
    engraving = Engraving(sheet, width, sizes)
    staff = min(largest, engraving.widest, engraving.filling(room, LEAST_GAP) * SHRINK)
    while staff >= sizes.smallest:
        whole = _set(head, engraving, staff, tail, sizes)
        over = least_height(whole) / room
        if over <= 1:
            return (*(replace(block, turn=PARTED) for block in whole[:-1]), whole[-1])
        staff *= SHRINK / over
    return _set(head, engraving, sizes.usual, tail, sizes)


def _set(
    head: Block, engraving: Engraving, staff: float, tail: tuple[Block, ...], sizes: Sizes
) -> tuple[Block, ...]:
    systems = (
        engraved(system, gap=1.0 if number else 0.0, scale=sizes.text)
        for number, system in enumerate(engraving.systems(staff))
    )
    return (head, *systems, *tail)
