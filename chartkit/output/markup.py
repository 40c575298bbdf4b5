"""Building XML trees in few words."""

from __future__ import annotations

from typing import Final
from xml.etree import ElementTree as ET

MEI: Final = "http://www.music-encoding.org/ns/mei"
SVG: Final = "http://www.w3.org/2000/svg"
XLINK: Final = "http://www.w3.org/1999/xlink"

ET.register_namespace("xlink", XLINK)


def add(parent: ET.Element, tag: str, text: object = "", **attributes: object) -> ET.Element:
    """Append an element and return it.

    Parameters
    ----------
    parent : Element
    tag : str
    text : object
        Its text, by `str`.
    attributes : object
        Their values, by `str`; an underscore in a name stands for a hyphen.
    """
    named = {name.replace("_", "-"): str(value) for name, value in attributes.items()}
    element = ET.SubElement(parent, tag, named)
    element.text = str(text) or None
    return element


def written(root: ET.Element, namespace: str = "") -> str:
    """Return a tree as text, with `namespace` as the one that needs no prefix."""
    if namespace:
        ET.register_namespace("", namespace)
    text: str = ET.tostring(root, encoding="unicode")
    return text
