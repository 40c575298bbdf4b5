"""What is set right in a system's drawing after the engraver is done with it.

Conventions: the engraver's own units, downwards from the upper edge. Each function mends one matter
and changes nothing where there is none.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final
from xml.etree import ElementTree as ET

from chartkit.output import markup, mei

SVG: Final = f"{{{markup.SVG}}}"
SPAN: Final = f"{SVG}tspan"

SIGN_SIZE: Final = 1.3
"""Flats and sharps in chord symbols, against the engraver's own, which are small."""

STAFF_LINES: Final = 5

FINE: Final = 10
"""Units of a system's drawing in a tenth of a millimetre."""

UNDER_TAB: Final = 1.75
"""From a tablature's lowest line down to the foot of the fingers, in their size."""

DEPTH: Final = 0.35
"""What is kept free under the foot of the fingers, in their size."""

ASCENTS: Final = {"harm": 0.8, "fing": 1.2}
"""How far chord symbols and fingers are taken to rise over their foot, in their size."""

FARTHEST: Final = 10**6
"""Beyond the right edge of every drawing."""

METER_GAP: Final = 1.08
"""How far the numbers of a time signature stand apart, in their own heights."""


def retouched(tree: ET.Element) -> None:
    """Mend the drawing of one system."""
    _stripped(tree)
    _finish_symbols(tree)
    _clear_stems(tree)
    _line_up_fingers(tree)
    _part_meter(tree)
    _keep_labels_in(tree)


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
        for span in group.iter(SPAN) if group.get("class") == "harm" else ():
            span.text = (span.text or "").rstrip(mei.SPACE) or None
            if span.get("font-family") == "Bravura":
                size = float(span.attrib["font-size"].removesuffix("px"))
                span.set("font-size", f"{size * SIGN_SIZE:.0f}px")


def _clear_stems(tree: ET.Element) -> None:
    """Lift each finger over the stem that it would touch."""
    groups = list(tree.iter(f"{SVG}g"))
    stems = [
        tuple(map(int, re.findall(r"-?\d+", path.attrib["d"])))
        for group in groups
        if group.get("class") == "stem"
        for path in group.findall(f"{SVG}path")
    ]
    for finger in (text for g in groups if g.get("class") == "fing" for text in g):
        x, foot = int(finger.attrib["x"]), int(finger.attrib["y"])
        size = _size(finger)
        tops = [
            min(a, b)
            for stem, a, _, b in stems
            if abs(stem - x) < size / 2 and min(a, b) < foot < max(a, b) + size
        ]
        if tops:
            finger.set("y", str(min(tops) - size // 6))


def _grouped(tree: ET.Element, kind: str) -> Iterator[ET.Element]:
    """Yield the drawings of one kind of element."""
    return (g for g in tree.iter(f"{SVG}g") if g.get("class") == kind)


def _line_up_fingers(tree: ET.Element) -> None:
    """Set the fingers under a tablature on one line, each under its fret number.

    The engraver takes a number to be as wide as a note's head, and its height for none.
    """
    frets = [int(t.attrib["x"]) for g in _grouped(tree, "tabGrp") for t in g.iter(f"{SVG}text")]
    fingers = [text for g in _grouped(tree, "fing") for text in g]
    if not frets or not fingers:
        return
    foot = max(y for staff in _grouped(tree, "staff") for y in _line_heights(staff))
    size = max(map(_size, fingers))
    for finger in fingers:
        x = int(finger.attrib["x"])
        finger.set("x", str(max((fret for fret in frets if fret <= x), default=x)))
        finger.set("y", str(foot + round(size * UNDER_TAB)))
    _deepen(tree, foot + round(size * (UNDER_TAB + DEPTH)))


def _deepen(tree: ET.Element, depth: int) -> None:
    """Make a drawing at least so deep, in the units of its inner drawing."""
    (inner,) = tree.findall(f"{SVG}svg")
    for drawing, unit in ((tree, FINE), (inner, 1)):
        *corner, height = drawing.attrib["viewBox"].split()
        drawing.set("viewBox", " ".join([*corner, str(max(int(height), -(-depth // unit)))]))


def _line_heights(staff: ET.Element) -> list[int]:
    """Return the heights of a staff's lines, the highest line first."""
    return sorted({int(path.attrib["d"].split()[1]) for path in staff.findall(f"{SVG}path")})


def _size(text: ET.Element) -> int:
    return max(int(span.get("font-size", "0px")[:-2]) for span in text.iter(SPAN))


def _part_meter(tree: ET.Element) -> None:
    """Set the numbers of a time signature clear of each other, in the middle of a tablature.

    The engraver sets them on a tablature by the lines of a staff.
    """
    for staff in _grouped(tree, "staff"):
        lines = _line_heights(staff)
        printed = [meter for meter in _grouped(staff, "meterSig") if len(meter)]
        for numbers in printed if len(lines) > STAFF_LINES else ():
            _about(numbers, (lines[0] + lines[-1]) // 2, (lines[1] - lines[0]) * 2 // 3)


def _about(numbers: ET.Element, middle: int, space: int) -> None:
    """Set an upper and a lower number about a height, each two spaces of a staff tall."""
    places = [re.findall(r"-?[\d.]+", number.attrib["transform"]) for number in numbers]
    upper = min(int(y) for _, y, *_ in places)
    for number, (x, y, scale, _) in zip(numbers, places, strict=True):
        height = middle + (-space if int(y) == upper else space) * METER_GAP
        number.set("transform", f"translate({x}, {height:.0f}) scale({scale}, {scale})")


def _keep_labels_in(tree: ET.Element) -> None:
    """Move a label that hangs out to the left to the staff's edge, as far as there is room."""
    for label in _grouped(tree, "reh"):
        box, words = label.find(f"{SVG}rect"), label.find(f"{SVG}text")
        if box is None or words is None:
            continue
        left, width = int(box.attrib["x"]), int(box.attrib["width"])
        moved = min(0, _clear_of(tree, box) - width) - left
        if moved > 0:
            box.set("x", str(left + moved))
            words.set("x", str(int(words.attrib["x"]) + moved))


def _clear_of(tree: ET.Element, box: ET.Element) -> int:
    """Return where a box has to end to be clear of the symbols and fingers beside it."""
    top = int(box.attrib["y"])
    bottom = top + int(box.attrib["height"])
    edges = [
        int(text.attrib["x"]) - _size(text)
        for kind, ascent in ASCENTS.items()
        for group in _grouped(tree, kind)
        for text in group.findall(f"{SVG}text")
        if top < int(text.attrib["y"]) < bottom + _size(text) * ascent
    ]
    return min(edges, default=FARTHEST)
