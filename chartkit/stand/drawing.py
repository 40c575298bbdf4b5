"""A sheet as systems to put on a screen, and shapes of the neck beside it.

Conventions: points; the page brings a drawing to the size of its screen. Every bar is a group with
the bar's own id. Ink is ``currentColor``; the hollow dots of a shape are white. Ids hold letters,
digits and hyphens only.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from html import escape
from threading import Lock
from typing import Final
from xml.etree import ElementTree as ET

from chartkit.guitar.shapes import Shape
from chartkit.notate import Sheet
from chartkit.output import markup
from chartkit.output.diagram import diagram
from chartkit.output.drawing import TEXT_FAMILY
from chartkit.output.musicxml import bar_ids
from chartkit.output.sizes import ORDINARY, Sizes
from chartkit.output.systems import Engraving, System

SVG: Final = f"{{{markup.SVG}}}"
LINK: Final = f"{{{markup.XLINK}}}href"

BOX_GAP: Final = 30.0
"""White around a section's name above the music, in the engraver's own units."""

_ONE_AT_A_TIME: Final = Lock()


@dataclass(frozen=True, slots=True)
class Screen:
    """What a page is engraved for.

    Parameters
    ----------
    width : float
        Of a full system.
    sizes : Sizes
        A system that would be set smaller than these allow is cut in parts.
    """

    width: float
    sizes: Sizes


WIDE: Final = Screen(540.0, ORDINARY)
NARROW: Final = Screen(270.0, Sizes(20.4, 19.3, 18.0, 17.0))
"""A screen that shows some four bars side by side, and one that shows two."""


@dataclass(frozen=True, slots=True)
class Row:
    """One system on the screen.

    Parameters
    ----------
    svg : str
        An element that stands alone.
    bars : tuple of str
        The ids of its bars, from the left.
    width, height : float
    """

    svg: str
    bars: tuple[str, ...]
    width: float
    height: float


def page_ids(sheet: Sheet, mark: str = "") -> tuple[str, ...]:
    """Return an id for each measure of a sheet; `mark` tells several sheets of one page apart."""
    return tuple(name + mark for name in bar_ids(sheet.measures))


@lru_cache(maxsize=64)
def rows(sheet: Sheet, screen: Screen, mark: str = "") -> tuple[Row, ...]:
    """Engrave a sheet for a screen.

    Parameters
    ----------
    sheet : Sheet
        Its heading is left to the page, so that its tempo makes no other drawing.
    screen : Screen
    mark : str
        See `page_ids`.

    Raises
    ------
    OutputError
        The engraver refuses the sheet.
    """
    with _ONE_AT_A_TIME:  # the engraver keeps its settings for all that it engraves
        engraving = Engraving(sheet, screen.width, screen.sizes)
        systems = engraving.systems(screen.sizes.largest)
    ids = iter(page_ids(sheet, mark))
    return tuple(_row(system, f"system-{n}{mark}", ids) for n, system in enumerate(systems, 1))


def shape_svg(shape: Shape) -> str:
    """Return a shape of the neck as an SVG element that stands alone, with its fingers."""
    made = diagram(shape)
    size = f'width="{made.width:.2f}" height="{made.height:.2f}"'
    box = f'viewBox="0 0 {made.width:.2f} {made.height:.2f}"'
    opening = f'<svg xmlns="{markup.SVG}" {size} {box} fill="currentColor" {_family()}>'
    return f"{opening}{made.drawing}</svg>"


def _family() -> str:
    return f'font-family="{escape(TEXT_FAMILY)}"'


def _row(system: System, name: str, ids: Iterator[str]) -> Row:
    """Bring one system's drawing to the screen: its bars' ids, and its own glyphs."""
    tree = ET.fromstring(system.drawing)  # noqa: S314 (the engraver's own output)
    grown = _labels_in(tree)
    bars = tuple(next(ids) for _ in system.measures)
    measures = [g for g in tree.iter(f"{SVG}g") if g.get("class") == "measure"]
    _rename(tree, name)
    for measure, bar in zip(measures, bars, strict=True):
        measure.set("id", bar)
    tree.insert(0, _glyphs(system.glyphs, name))
    tree.set("fill", "currentColor")
    tree.set("font-family", TEXT_FAMILY)
    return Row(markup.written(tree, markup.SVG), bars, system.width, system.height * grown)


def _labels_in(tree: ET.Element) -> float:
    """Put a section's name that is cut off at the left above all else, from the staff's edge on.

    Returns
    -------
    float
        How many times as tall the drawing is.
    """
    labels = [g for g in tree.iter(f"{SVG}g") if g.get("class") == "reh"]
    boxed = [tuple(label.iter(f"{SVG}rect")) + tuple(label.iter(f"{SVG}text")) for label in labels]
    cut = [parts for parts in boxed if parts and float(parts[0].attrib["x"]) < 0]
    inner = tree.find(f"{SVG}svg")
    if not cut or inner is None:
        return 1.0
    raised = max(_raised(*parts) for parts in cut)
    left, top, width, height = map(float, inner.attrib["viewBox"].split())
    inner.set("viewBox", f"{left:g} {top - raised:g} {width:g} {height + raised:g}")
    grown = (height + raised) / height
    x, y, across, down = map(float, tree.attrib["viewBox"].split())
    tree.set("viewBox", f"{x:g} {y:g} {across:g} {down * grown:g}")
    tree.set("height", f"{float(tree.attrib['height']) * grown:.3f}")
    return grown


def _raised(box: ET.Element, *words: ET.Element) -> float:
    """Move a section's name to the edge and above the drawing; return by how much it grows."""
    tall = float(box.attrib["height"])
    up = float(box.attrib["y"]) + tall + BOX_GAP
    across = -float(box.attrib["x"])
    for one in (box, *words):
        one.set("x", f"{float(one.attrib['x']) + across:g}")
        one.set("y", f"{float(one.attrib['y']) - up:g}")
    return tall + 2 * BOX_GAP


def _rename(tree: ET.Element, name: str) -> None:
    """Take every id away, and let the glyphs be those of this system."""
    for element in tree.iter():
        element.attrib.pop("id", None)
        element.attrib.pop("color", None)
        if LINK in element.attrib:
            element.set("href", f"#{_own(element.attrib.pop(LINK).removeprefix('#'), name)}")


def _own(glyph: str, name: str) -> str:
    """Return a system's own id of a glyph, without the chance letters that the engraver adds."""
    return f"{name}-{glyph.partition('-')[0]}"


def _glyphs(glyphs: Sequence[tuple[str, str]], name: str) -> ET.Element:
    """Return the drawings that a system uses, under the system's own names."""
    defs = ET.Element(f"{SVG}defs")
    for old, drawing in glyphs:
        glyph = ET.fromstring(f'<g xmlns="{markup.SVG}">{drawing}</g>')[0]  # noqa: S314 (ours)
        glyph.set("id", _own(old, name))
        defs.append(glyph)
    return defs


def without_heading(sheet: Sheet) -> Sheet:
    """Return a sheet without what the page tells in its own words."""
    return replace(
        sheet, title="", subtitle="", composer="", tempo=None, notes=(), shapes=(), caution=""
    )
