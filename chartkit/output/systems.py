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
from statistics import median_low
from typing import TYPE_CHECKING, Any, Final
from xml.etree import ElementTree as ET

from chartkit.errors import OutputError
from chartkit.notate import Measure, Sheet
from chartkit.notate.layout import count_bars, unbreakable
from chartkit.output import markup, mei, musicxml
from chartkit.output.retouching import FINE, retouched
from chartkit.output.sizes import Sizes
from chartkit.output.typefaces import engraver_data

if TYPE_CHECKING:
    import verovio

SVG: Final = f"{{{markup.SVG}}}"

TENTHS: Final = 254 / 72
"""Tenths of a millimetre in a point."""

UNIT: Final = 9.0
ENGRAVED: Final = 8 * UNIT / TENTHS
"""The engraver's unit in tenths of a millimetre, half the space between two lines, and the height
of its staff in points; what it draws is brought to its size afterwards."""

LONGEST: Final = 60000
"""The longest and widest page that the engraver can make, in tenths of a millimetre."""

ROOM: Final = 0.97
"""Share of the width that a system may take of itself; the engraver breaks one that is fuller."""

ROOMY: Final = 4
"""Bars that can be cut in two systems of two."""

STRETCHED: Final = 1.5
"""A system that would be drawn out so much further than its neighbours is left short."""

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
    "unit": UNIT,
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


class Engraving:
    """A sheet in the engraver's hands: read once, then set at one size or another.

    Parameters
    ----------
    sheet : Sheet
    width : float
        Of a full system, in points.
    sizes : Sizes
        A system that would be crowded at this width, or too wide for it, is cut in parts.

    Raises
    ------
    OutputError
        The engraver refuses the sheet.
    """

    def __init__(self, sheet: Sheet, width: float, sizes: Sizes) -> None:
        self._width = width
        self._sizes = sizes
        self._toolkit = _toolkit()
        self._sheet = sheet
        self._natural = self._loaded()
        while cuts := self._too_wide():
            self._sheet = _cut_at(self._sheet, cuts)
            self._natural = self._loaded()

    @property
    def widest(self) -> float:
        """The height of staff that the widest system allows, in points."""
        return min(ENGRAVED * self._width * ROOM / one.width for one in self._natural)

    def filling(self, room: float, gap: float) -> float:
        """Return the height of staff at which the systems fill `room`, `gap` apart, roughly."""
        gaps = gap * (len(self._natural) - 1)
        return ENGRAVED * (room - gaps) / sum(one.height for one in self._natural)

    def systems(self, staff: float) -> tuple[System, ...]:
        """Draw the systems with a staff of this height in points, or the least that fits."""
        scale = min(staff, self.widest) / ENGRAVED
        widths = _justified([one.width * scale for one in self._natural], self._width)
        rows = _rows(self._sheet)
        done: dict[int, System] = {}
        for width in sorted(set(widths)):
            self._lay_out(width / scale)
            for number, row in enumerate(rows):
                if widths[number] == width:
                    done[number] = _system(self._page(number), scale, width, row)
        return tuple(done[number] for number in sorted(done))

    def _loaded(self) -> list[_Extent]:
        """Load the sheet; return what each system takes of itself as it is engraved."""
        tree = musicxml.tree(self._sheet)
        _hand_fingers_down(tree)
        for sign in tree.iter("print"):
            sign.attrib.clear()
            sign.set("new-page", "yes")
        loose = {"pageWidth": LONGEST, "noJustification": True}
        self._toolkit.setOptions(OPTIONS | loose)
        self._load("musicxml", markup.written(tree))
        self._load("mei", mei.finished(self._toolkit.getMEI(), self._sheet))
        return [_extent(self._page(number)) for number in range(len(_rows(self._sheet)))]

    def _load(self, language: str, text: str) -> None:
        self._toolkit.setOptions({"inputFrom": language})
        if not self._toolkit.loadData(text):
            raise OutputError("the engraver cannot read this sheet; write it as MusicXML instead")

    def _too_wide(self) -> set[int]:
        """Return the measures that should start systems for every one to fit."""
        wide = [one.width / (self._width * ROOM * ENGRAVED) for one in self._natural]
        cuts = set()
        for row, (share, measures) in enumerate(zip(wide, _rows(self._sheet), strict=True)):
            roomy = count_bars(measures) >= ROOMY
            least = self._sizes.crowded if roomy else self._sizes.smallest
            cuts |= _cuts(self._sheet, row, ceil(share * least))
        return cuts

    def _lay_out(self, width: float) -> None:
        """Justify each system to a width, as it is engraved."""
        self._toolkit.setOptions({"pageWidth": round(width * TENTHS), "noJustification": False})
        self._toolkit.redoLayout()

    def _page(self, number: int) -> ET.Element:
        """Return the drawing of one system, numbered from 0."""
        drawing = self._toolkit.renderToSVG(number + 1)
        return ET.fromstring(drawing)  # noqa: S314 (the engraver's own output)


@dataclass(frozen=True, slots=True)
class _Extent:
    """A drawing's music: where its lines end, where its top line lies, its height; in points."""

    width: float
    top: float
    height: float


def _hand_fingers_down(tree: ET.Element) -> None:
    """Give the fingers to the tablature where there is one under a staff."""
    for measure in tree.iter("measure"):
        upper, lower = (
            [
                technical
                for note in measure.iterfind("note")
                if note.findtext("staff") == staff
                and (technical := note.find("notations/technical")) is not None
            ]
            for staff in ("1", "2")
        )
        for one, other in zip(upper, lower, strict=True) if lower else ():
            finger = one.find("fingering")
            if finger is not None:
                one.remove(finger)
                finger.set("placement", "below")
                other.insert(0, finger)


def _toolkit() -> verovio.toolkit:
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    verovio.setDefaultResourcePath(str(engraver_data()))  # each thread has a path of its own
    return verovio.toolkit()


def _rows(sheet: Sheet) -> list[tuple[Measure, ...]]:
    """Return the measures of each system."""
    starts = [n for n, m in enumerate(sheet.measures) if m.new_system or n == 0]
    return [sheet.measures[a:b] for a, b in pairwise([*starts, len(sheet.measures)])]


def _cuts(sheet: Sheet, row: int, parts: int) -> set[int]:
    """Return the measures that cut a system into so many parts as even as may be."""
    sizes = [len(measures) for measures in _rows(sheet)]
    start, end = sum(sizes[:row]), sum(sizes[: row + 1])
    places = sorted(set(range(start + 1, end)) - unbreakable(sheet.measures))
    whole = [
        n
        for n in places
        if min(count_bars(sheet.measures[start:n]), count_bars(sheet.measures[n:end])) > 1
    ]
    even = [start + sizes[row] * part / parts for part in range(1, parts)]
    return {min((abs(n - at), n) for n in whole or places)[1] for at in even if places}


def _cut_at(sheet: Sheet, cuts: set[int]) -> Sheet:
    measures = tuple(
        replace(m, new_system=m.new_system or n in cuts) for n, m in enumerate(sheet.measures)
    )
    return replace(sheet, measures=measures)


def _justified(natural: list[float], width: float) -> list[float]:
    """Return each system's width on the page: full, or short where it holds far less."""
    usual = median_low(width / one for one in natural)
    return [
        width if width / one <= STRETCHED * usual else one * usual * STRETCHED for one in natural
    ]


def _system(tree: ET.Element, scale: float, width: float, row: tuple[Measure, ...]) -> System:
    """Take the drawing of one system out of its page and bring it to its size."""
    glyphs = tuple(map(_glyph, tree.findall(f"{SVG}defs/{SVG}g")))
    retouched(tree)
    extent = _extent(tree)
    top, height = extent.top * scale, extent.height * scale
    tree.attrib.update(width=f"{width:.3f}", height=f"{height:.3f}")
    return System(markup.written(tree, markup.SVG), glyphs, width, height, top, row)


def _glyph(element: ET.Element) -> tuple[str, str]:
    """Return a glyph's id and drawing."""
    name = element.attrib["id"]
    paths = (f'<path transform="{p.get("transform")}" d="{p.get("d")}"/>' for p in element)
    return name, f'<g id="{name}">{"".join(paths)}</g>'


def _extent(tree: ET.Element) -> _Extent:
    lines = [
        re.findall(r"-?\d+", line.attrib["d"])
        for group in tree.iter(f"{SVG}g")
        if group.get("class") == "staff"
        for line in group.findall(f"{SVG}path")
    ]
    right = max(int(end) for _, _, end, _ in lines)
    top = min(int(y) for _, y, _, _ in lines)
    height = float(tree.attrib["viewBox"].split()[3])
    return _Extent(right / FINE / TENTHS, top / FINE / TENTHS, height / TENTHS)
