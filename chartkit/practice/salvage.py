"""Rows read straight out of the pages of a database file, whatever became of the rest of it.

A damaged file is one that the library refuses to read at all, though most of its pages are whole.
Here every page that looks like a leaf of a table is read by itself, without the tree above it, so
what is lost is what stood on the damaged pages and no more. Freed pages hold no old rows, since
logs are kept with ``PRAGMA secure_delete``.

Source: "Database File Format", https://www.sqlite.org/fileformat2.html, sections 1.3 (the header),
1.6 (pages of trees, cells and what overflows) and 2.1 (records).
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import Final

Value = str | int | float | bytes | None
Row = tuple[Value, ...]

PAGE: Final = 4096
"""Bytes of a page of a log."""

HEADER: Final = 100
"""Bytes before the first page's own."""

LEAF: Final = 0x0D
"""The first byte of a leaf of a table."""

MOST_COLUMNS: Final = 64

_INTEGERS: Final = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}
"""Bytes of an integer by its serial type."""


class _Unreadable(Exception):  # noqa: N818 (a damaged row is expected here)
    """A cell or record makes no sense."""


def rows(data: bytes) -> Iterator[tuple[int, Row]]:
    """Yield the row number and the values of every row that can be read.

    Parameters
    ----------
    data : bytes
        Of a whole database file, or of what is left of it.
    """
    size = _page_size(data)
    for start in range(0, len(data), size):
        yield from _leaf(data, start, size)


def _page_size(data: bytes) -> int:
    size = int.from_bytes(data[16:18], "big")
    return size if 512 <= size <= 32768 and size & (size - 1) == 0 else PAGE  # noqa: PLR2004


def _leaf(data: bytes, start: int, size: int) -> Iterator[tuple[int, Row]]:
    """Yield the rows of the page at `start`, nothing where it is no leaf of a table."""
    head = start + (HEADER if start == 0 else 0)
    if len(data) < head + 8 or data[head] != LEAF:
        return
    (cells,) = struct.unpack_from(">H", data, head + 3)
    for place in range(head + 8, min(head + 8 + 2 * cells, start + size - 1, len(data) - 1), 2):
        (offset,) = struct.unpack_from(">H", data, place)
        try:
            yield _cell(data, start + offset, start + size, size)
        except (_Unreadable, IndexError, struct.error, UnicodeDecodeError):
            continue


def _cell(data: bytes, at: int, end: int, size: int) -> tuple[int, Row]:
    """Return the row of the cell at a place, which lies on the page that ends at `end`."""
    length, at = _varint(data, at)
    number, at = _varint(data, at)
    local = _local(length, size)
    if at + local > min(end, len(data)):
        raise _Unreadable
    payload = data[at : at + local]
    if local < length:
        (page,) = struct.unpack_from(">I", data, at + local)
        payload += _overflow(data, page, length - local, size)
    return number, _record(payload, number)


def _local(length: int, size: int) -> int:
    """Return how much of a payload stands on its own page."""
    most, least = size - 35, (size - 12) * 32 // 255 - 23
    if length <= most:
        return length
    fitting = least + (length - least) % (size - 4)
    return fitting if fitting <= most else least


def _overflow(data: bytes, page: int, length: int, size: int) -> bytes:
    """Return what the chain of pages from `page` on holds."""
    parts = []
    while length > 0:
        start = (page - 1) * size
        if page < 1 or start + size > len(data):
            raise _Unreadable
        (page,) = struct.unpack_from(">I", data, start)
        parts.append(data[start + 4 : start + 4 + min(length, size - 4)])
        length -= size - 4
    return b"".join(parts)


def _record(payload: bytes, number: int) -> Row:
    """Return the values of a record; a first one that is none is the row's number."""
    head, at = _varint(payload, 0)
    kinds = []
    while at < head:
        kind, at = _varint(payload, at)
        kinds.append(kind)
    if at != head or len(kinds) > MOST_COLUMNS:
        raise _Unreadable
    values: list[Value] = []
    for kind in kinds:
        value, at = _value(payload, at, kind)
        values.append(value)
    if at != len(payload):
        raise _Unreadable
    return (number, *values[1:]) if values and values[0] is None else tuple(values)


def _value(payload: bytes, at: int, kind: int) -> tuple[Value, int]:
    """Return a value of a serial type, and where the next one begins."""
    if kind == 0:
        return None, at
    if kind in (8, 9):
        return kind - 8, at
    if kind in _INTEGERS:
        end = at + _INTEGERS[kind]
        return int.from_bytes(payload[at:end], "big", signed=True), end
    if kind == 7:  # noqa: PLR2004
        return struct.unpack_from(">d", payload, at)[0], at + 8
    if kind >= 12:  # noqa: PLR2004
        end = at + (kind - 12) // 2
        return (payload[at:end].decode() if kind % 2 else payload[at:end]), end
    raise _Unreadable


def _varint(data: bytes, at: int) -> tuple[int, int]:
    """Return a number of one to nine bytes, and where the next thing begins."""
    value = 0
    for step in range(8):
        byte = data[at + step]
        value = value << 7 | byte & 0x7F
        if byte < 0x80:  # noqa: PLR2004
            return value, at + step + 1
    return value << 8 | data[at + 8], at + 9
