"""XML from files that nobody vouches for.

Conventions: a document type may name its definition, which is never fetched; entities of a
document's own are refused, and so is what is too large or too deep.
"""

from __future__ import annotations

from typing import Any, Final, NoReturn
from xml.etree import ElementTree as ET
from xml.parsers import expat

from chartkit.errors import OutputError

LARGEST: Final = 8 * 1024 * 1024
"""Bytes of the largest document that is read."""

DEEPEST: Final = 64
"""Elements within each other; a score has a dozen."""


def parse_xml(data: bytes) -> ET.Element:
    """Return the root element of a document.

    Raises
    ------
    OutputError
        It is too large or too deep, defines entities, or is no XML.
    """
    if len(data) > LARGEST:
        raise OutputError(f"it is larger than {LARGEST // 1024 // 1024} MB")
    builder = _Builder()
    parser = expat.ParserCreate()
    parser.StartElementHandler = builder.start
    parser.EndElementHandler = builder.end
    parser.CharacterDataHandler = builder.data
    parser.EntityDeclHandler = _refuse
    parser.ExternalEntityRefHandler = _refuse
    try:
        parser.Parse(data, True)
    except (expat.ExpatError, ValueError, LookupError) as error:
        line = f" in line {error.lineno}" if isinstance(error, expat.ExpatError) else ""
        raise OutputError(f"it is not well-formed XML{line}") from error
    return builder.close()


def _refuse(*_entity: object) -> NoReturn:
    raise OutputError("it defines entities of its own, which are not read")


class _Builder:
    """Builds a tree that is not too deep."""

    def __init__(self) -> None:
        self._tree = ET.TreeBuilder()
        self._depth = 0

    def start(self, tag: str, attributes: dict[str, Any]) -> None:
        """Begin an element."""
        self._depth += 1
        if self._depth > DEEPEST:
            raise OutputError(f"it has more than {DEEPEST} elements within each other")
        self._tree.start(tag, attributes)

    def end(self, tag: str) -> None:
        """End an element."""
        self._depth -= 1
        self._tree.end(tag)

    def data(self, text: str) -> None:
        """Add text."""
        self._tree.data(text)

    def close(self) -> ET.Element:
        """Return the root."""
        return self._tree.close()
