"""The bytes of a MusicXML file, plain or compressed, as a score's root element.

Source: the MusicXML 4.0 documentation, "Compressed .mxl files" (W3C Community Group, 2021).
"""

from __future__ import annotations

import struct
import zipfile
import zlib
from io import BytesIO
from typing import Final
from xml.etree import ElementTree as ET

from chartkit.errors import OutputError
from chartkit.phrase.safe_xml import LARGEST, parse_xml

_CONTAINER: Final = "META-INF/container.xml"
_ZIP: Final = b"PK\x03\x04"
_MOST_FILES: Final = 1000
_BROKEN: Final = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    OSError,
    EOFError,
    ValueError,
    LookupError,
    RuntimeError,  # a password, or a method of compression that is not there
)
"""What a compressed file that is broken can end in."""


def score_of(data: bytes) -> ET.Element:
    """Return the ``<score-partwise>`` of a file.

    Raises
    ------
    OutputError
        It is no such file.
    """
    root = parse_xml(_unpacked(data) if data.startswith(_ZIP) else data)
    if root.tag == "score-timewise":
        raise OutputError("its score goes by measures (timewise): save it partwise")
    if root.tag != "score-partwise":
        raise OutputError(f"it is XML but no MusicXML score: it begins with <{root.tag[:32]}>")
    return root


def _unpacked(data: bytes) -> bytes:
    """Return the score's file within a compressed one."""
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            if len(archive.infolist()) > _MOST_FILES:
                raise OutputError(f"it holds more than {_MOST_FILES} files")
            container = parse_xml(_member(archive, _CONTAINER))
            path = next((e.get("full-path") for e in container.iter() if _is_rootfile(e)), None)
            if not path:
                raise OutputError(f"its {_CONTAINER} names no score")
            return _member(archive, path)
    except _BROKEN as error:
        raise OutputError("it is no compressed file that can be opened") from error


def _is_rootfile(element: ET.Element) -> bool:
    return element.tag.rpartition("}")[2] == "rootfile"


def _member(archive: zipfile.ZipFile, name: str) -> bytes:
    """Return a file of the archive, unless it is too large."""
    try:
        with archive.open(name) as file:
            data = file.read(LARGEST + 1)
    except KeyError as error:
        raise OutputError(f"it holds no {name[:64]}") from error
    if len(data) > LARGEST:
        raise OutputError(f"what it holds is larger than {LARGEST // 1024 // 1024} MB")
    return data
