"""A sheet engraved system by system, each as a drawing of its own.

Conventions: everything that leaves this module is in points; inside, the engraver measures in
tenths of a millimetre. A staff's size is its height in points. Each system is engraved as a page of
its own height, so that what stands on which page of paper is decided afterwards, from true heights.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil
from statistics import median
from typing import TYPE_CHECKING, Any, Final
from xml.etree import ElementTree as ET

from chartkit.errors import OutputError
from chartkit.notate import Measure, Sheet
from chartkit.notate.layout import unbreakable
from chartkit.output import markup, mei, musicxml

if TYPE_CHECKING:
    import verovio

SVG: Final = f"{{{markup.SVG}}}"

TENTHS: Final = 254 / 72
"""Tenths of a millimetre in a point."""

FINE: Final = 10
"""Units of a system's drawing in a tenth of a millimetre."""

UNITS_A_STAFF: Final = 8
"""The engraver's unit is half the space between two lines of the staff."""

LARGEST: Final = 20.4
USUAL: Final = 19.3
SMALLEST: Final = 14.8
"""Heights of a staff in points: 7.2, 6.8 and 5.2 millimetres."""

LONGEST: Final = 60000
"""The longest and widest page that the engraver can make, in tenths of a millimetre."""

ROOM: Final = 0.97
"""Share of the width that a system may take of itself; the engraver breaks one that is fuller."""

STRETCHED: Final = 1.5
"""A system that would be drawn out so much further than its neighbours is left short."""

SIGN_SIZE: Final = 1.3
"""Flats and sharps in chord symbols, against the engraver's own, which are small."""

OPTIONS: Final[dict[str, Any]] = {
    "breaks": "encoded",
    "adjustPageHeight": True,
    "pageHeight": LONGEST,
    "pageMarginBottom": 0,
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "pageMarginTop": 0,
    "header": "none",
    "footer": "none",
    "font": "Bravura",
    "fontTextLiberation": True,
    "smuflTextFont": "none",
    "spacingStaff": 6,
    "fingeringScale": 0.65,
    "svgViewBox": True,
    "svgFormatRaw": True,
    "xmlIdChecksum": True,
    "minLastJustification": 0.0,
}
"""The engraver's settings; distances between staves are least distances, in its units."""


@dataclass(frozen=True, slots=True)
class System:
    """One engraved system.

    Parameters
    ----------
    drawing : str
        An SVG element whose size is `width` by `height`.
    glyphs : tuple of (str, str)
        The drawings that it uses, by their ids.
    width, height : float
        In points.
    staff_top : float
        From the drawing's upper edge to the staff's top line, in points.
    measures : tuple of Measure
    """

    drawing: str
    glyphs: tuple[tuple[str, str], ...]
    width: float
    height: float
    staff_top: float
    measures: tuple[Measure, ...]

    @property
    def ends_section(self) -> bool:
        """A page may be turned after it: a double bar, a final bar or a repeat sign ends it."""
        return self.measures[-1].right != "|"


def engraved(sheet: Sheet, width: float, staff: float) -> tuple[System, ...]:
    """Engrave a sheet's systems.

    Parameters
    ----------
    sheet : Sheet
    width : float
        Of a full system, in points.
    staff : float
        Height of the staff in points; made smaller where a system needs it, down to `SMALLEST`,
        and a system that is too wide even then is cut in two.

    Raises
    ------
    OutputError
        The engraver refuses the sheet.
    """
    toolkit = _toolkit()
    sheet, natural = _fitting(toolkit, sheet, width)
    staff = min(staff, *(USUAL * width * ROOM / one for one in natural))
    widths = _justified([one * staff / USUAL for one in natural], width)
    done: dict[int, System] = {}
    for wide in sorted(set(widths)):
        _lay_out(toolkit, wide, staff)
        for number, row in enumerate(_rows(sheet)):
            if widths[number] == wide:
                done[number] = _drawn(toolkit, number, row, wide)
    return tuple(done[number] for number in sorted(done))


def _toolkit() -> verovio.toolkit:
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    return verovio.toolkit()


def _rows(sheet: Sheet) -> list[tuple[Measure, ...]]:
    """Return the measures of each system."""
    starts = [n for n, m in enumerate(sheet.measures) if m.new_system or m.new_page or n == 0]
    return [sheet.measures[a:b] for a, b in pairwise([*starts, len(sheet.measures)])]


def _fitting(toolkit: verovio.toolkit, sheet: Sheet, width: float) -> tuple[Sheet, list[float]]:
    """Cut what is too wide at the smallest size; return the sheet and each system's own width."""
    natural = _natural_widths(toolkit, sheet)
    room = width * ROOM * USUAL / SMALLEST
    parts = [ceil(one / room) for one in natural]
    cuts = {cut for row, into in enumerate(parts) for cut in _cuts(sheet, row, into)}
    if not cuts:
        return sheet, natural
    measures = tuple(
        replace(m, new_system=m.new_system or n in cuts) for n, m in enumerate(sheet.measures)
    )
    return _fitting(toolkit, replace(sheet, measures=measures), width)


def _cuts(sheet: Sheet, row: int, parts: int) -> set[int]:
    """Return the measures that cut a system into so many parts as even as may be."""
    sizes = [len(measures) for measures in _rows(sheet)]
    start, size = sum(sizes[:row]), sizes[row]
    places = sorted(set(range(start + 1, start + size)) - unbreakable(sheet.measures))
    even = [start + size * part / parts for part in range(1, parts)]
    return {min((abs(n - at), n) for n in places)[1] for at in even if places}


def _natural_widths(toolkit: verovio.toolkit, sheet: Sheet) -> list[float]:
    """Load a sheet; return the width that each system takes of itself at the usual size."""
    _load(toolkit, sheet)
    return [_measured(_tree(toolkit, number))[0] for number in range(len(_rows(sheet)))]


def _load(toolkit: verovio.toolkit, sheet: Sheet) -> None:
    loose = {"pageWidth": LONGEST, "noJustification": True, "unit": _unit(USUAL)}
    tree = musicxml.tree(sheet)
    for sign in tree.iter("print"):
        sign.attrib.clear()
        sign.set("new-page", "yes")
    toolkit.setOptions(OPTIONS | loose | {"inputFrom": "musicxml"})
    read = toolkit.loadData(ET.tostring(tree, encoding="unicode"))
    toolkit.setOptions({"inputFrom": "mei"})
    if not (read and toolkit.loadData(mei.finished(toolkit.getMEI(), sheet))):
        raise OutputError("the engraver cannot read this sheet; write it as MusicXML instead")


def _justified(natural: list[float], width: float) -> list[float]:
    """Return each system's width on the page: full, or short where it holds far less."""
    usual = median(width / one for one in natural)
    return [
        width if width / one <= STRETCHED * usual else one * usual * STRETCHED for one in natural
    ]


def _lay_out(toolkit: verovio.toolkit, width: float, staff: float) -> None:
    """Set the loaded sheet at a size, each system justified to a width."""
    toolkit.setOptions(
        {"pageWidth": round(width * TENTHS), "unit": _unit(staff), "noJustification": False}
    )
    toolkit.redoLayout()


def _drawn(toolkit: verovio.toolkit, number: int, row: tuple[Measure, ...], width: float) -> System:
    """Take the drawing of one system, numbered from 0, out of the laid out sheet."""
    tree = _tree(toolkit, number)
    _, top = _measured(tree)
    height = float(tree.attrib["viewBox"].split()[3]) / TENTHS
    glyphs = tuple(
        (glyph.attrib["id"], markup.written(glyph, markup.SVG))
        for glyph in tree.findall(f"{SVG}defs/{SVG}g")
    )
    _stripped(tree)
    _finish_symbols(tree)
    tree.attrib.update(width=f"{width:.3f}", height=f"{height:.3f}")
    return System(markup.written(tree, markup.SVG), glyphs, width, height, top, row)


def _stripped(tree: ET.Element) -> None:
    """Leave the music alone in a drawing: glyphs and style stand once a page."""
    for tag in ("desc", "defs", "style"):
        for element in tree.findall(f"{SVG}{tag}"):
            tree.remove(element)
    for system in tree.iter(f"{SVG}g"):
        for element in [g for g in system if "placeholder" in g.get("class", "")]:
            system.remove(element)
    del tree.attrib["id"]
    for music in tree.iter(f"{SVG}svg"):
        music.attrib.pop("font-family", None)


def _finish_symbols(tree: ET.Element) -> None:
    """Print the flats and sharps of chord symbols as tall as their letters, their space not."""
    for group in tree.iter(f"{SVG}g"):
        for span in group.iter(f"{SVG}tspan") if group.get("class") == "harm" else ():
            span.text = (span.text or "").rstrip(mei.SPACE) or None
            if span.get("font-family") == "Bravura":
                size = float(span.attrib["font-size"].removesuffix("px"))
                span.set("font-size", f"{size * SIGN_SIZE:.0f}px")


def _unit(staff: float) -> float:
    return round(staff * TENTHS / UNITS_A_STAFF, 3)


def _tree(toolkit: verovio.toolkit, number: int) -> ET.Element:
    return ET.fromstring(toolkit.renderToSVG(number + 1))  # noqa: S314 (the engraver's own output)


def _measured(tree: ET.Element) -> tuple[float, float]:
    """Return where a system's lines end and where its top line lies, in points."""
    lines = [
        re.findall(r"-?\d+", line.attrib["d"])
        for group in tree.iter(f"{SVG}g")
        if group.get("class") == "staff"
        for line in group.findall(f"{SVG}path")
    ]
    right = max(int(end) for _, _, end, _ in lines)
    top = min(int(y) for _, y, _, _ in lines)
    return right / FINE / TENTHS, top / FINE / TENTHS
