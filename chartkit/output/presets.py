"""The instruments that a soundfont has, read off its list of presets without loading it.

Source: SoundFont 2.04, 4 (a RIFF file of lists) and 7.2 (`phdr`: 38 bytes a preset, the last one
only an end mark).
"""

from __future__ import annotations

from pathlib import Path
from struct import iter_unpack
from typing import BinaryIO, Final

from chartkit.errors import SoundError

_RECORD: Final = "<20sHH14x"
_RECORD_BYTES: Final = 38


def presets(font: Path) -> dict[tuple[int, int], str]:
    """Return the names of a soundfont's instruments by bank and program.

    Raises
    ------
    SoundError
        The file has no such list.
    """
    try:
        with font.open("rb") as file:
            end = file.seek(0, 2)
            file.seek(12)
            records = _within(file, _within(file, end, b"LIST", b"pdta"), b"phdr")
            data = file.read(records - file.tell())
    except (OSError, ValueError) as error:
        raise SoundError(f"cannot play with {font}: the soundfont is damaged") from error
    data = data[: len(data) // _RECORD_BYTES * _RECORD_BYTES]
    return {
        (bank, program): name.split(b"\0")[0].decode("latin-1").strip()
        for name, program, bank in list(iter_unpack(_RECORD, data))[:-1]
    }


def _within(file: BinaryIO, end: int, name: bytes, kind: bytes = b"") -> int:
    """Go to the inside of the next chunk of a name (and a kind of list); return its end."""
    while file.tell() + 8 <= end:
        found = file.read(4)
        size = int.from_bytes(file.read(4), "little")
        inside = file.tell()
        if found == name and (not kind or file.read(4) == kind):
            return min(end, inside + size)
        file.seek(inside + size + size % 2)
    raise ValueError(name)
