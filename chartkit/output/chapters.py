"""Places in a FLAC or an Ogg Vorbis file that a player can jump to.

Conventions: their names and times are comments, a pair for each place: ``CHAPTER001=00:01:23.450``
and ``CHAPTER001NAME=Scales``. libsndfile writes a single comment of a player's own, so that one is
made as long as they are together, and they are written over it in the finished file.

Sources: Xiph's chapter extension for Vorbis comments (from memory); RFC 9639, 8.6 (the comments of
FLAC); Ogg Vorbis I, 5 (comments).
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from struct import pack, unpack_from
from typing import Final

from chartkit.output.tags import seal

MOST: Final = 999

_KEY: Final = b"COMMENT="
"""However a writer spells it: small letters and capitals are the same there."""

_LENGTH: Final = 4
"""Bytes of a comment's length, and of the number of comments."""

_HEAD: Final = 2**17
"""Bytes at a file's beginning within which its comments are."""

_LAST: Final = 0x80
_COMMENTS: Final = 4
"""In a FLAC metadata block's header: the bit of the last one, and the kind that has comments."""

_PAGE: Final = b"OggS"
_VORBIS: Final = b"\x03vorbis"


def room_for(places: Sequence[tuple[int, str]], rate: int) -> str:
    """Return a comment that is as long as the chapters will be; empty for none."""
    size = sum(_LENGTH + len(one) for one in _lines(places, rate))
    return "." * (size - _LENGTH - len(_KEY)) if places else ""


def mark(path: Path, places: Sequence[tuple[int, str]], rate: int) -> None:
    """Write chapters over the room that was left for them.

    Parameters
    ----------
    path : Path
        A finished file, written with `room_for` as its comment.
    places : sequence of (int, str)
        Frame and name, at most `MOST`.
    rate : int
        Frames a second.
    """
    if not places:
        return
    lines = _lines(places, rate)
    old = _KEY + room_for(places, rate).encode()
    new = b"".join(pack("<I", len(line)) + line for line in lines)
    with path.open("rb+") as file:
        head = bytearray(file.read(_HEAD))
        first = _comments(head)
        count = first + _LENGTH + unpack_from("<I", head, first)[0]
        (before,) = unpack_from("<I", head, count)
        at = head.upper().index(old, count) - _LENGTH
        head[count : count + _LENGTH] = pack("<I", before + len(lines) - 1)
        head[at : at + len(new)] = new
        if head.startswith(_PAGE):
            seal(head, head.rindex(_PAGE, 0, at))
        file.seek(0)
        file.write(head)


def _lines(places: Sequence[tuple[int, str]], rate: int) -> list[bytes]:
    return [
        line.encode()
        for number, (frame, name) in enumerate(places, 1)
        for line in (
            f"CHAPTER{number:03d}={_time(frame, rate)}",
            f"CHAPTER{number:03d}NAME={name}",
        )
    ]


def _time(frame: int, rate: int) -> str:
    """Return the time of a frame, to the nearest thousandth of a second."""
    thousandths = (2000 * frame + rate) // (2 * rate)
    seconds, rest = divmod(thousandths, 1000)
    return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}.{rest:03d}"


def _comments(head: bytearray) -> int:
    """Return where the comments begin: the length of the writer's own name, and then that name."""
    if head.startswith(_PAGE):
        return head.index(_VORBIS) + len(_VORBIS)
    at = len(b"fLaC")
    while head[at] & ~_LAST != _COMMENTS:
        at += _LENGTH + int.from_bytes(head[at + 1 : at + _LENGTH], "big")
    return at + _LENGTH
