"""Loop points, markers and tags in a WAV file.

Source: Multimedia Programming Interface and Data Specifications 1.0 (RIFF), chunks `cue `, `LIST`
of type `adtl` with `labl`, and `smpl`, whose loop end is inclusive and whose play count 0 means for
ever. Frames count from the file's first.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from struct import pack
from typing import Final

_HEADER: Final = 8
"""Bytes of a chunk's name and length."""

_MIDDLE_C: Final = 60
_NANOSECONDS: Final = 10**9


def mark(
    path: Path,
    cues: Sequence[tuple[int, str]],
    loop: tuple[int, int] | None,
    rate: int,
    id3: bytes = b"",
) -> None:
    """Append markers to a finished WAV file, loop points if it is a loop, and tags.

    Parameters
    ----------
    path : Path
    cues : sequence of (int, str)
        Frame and label.
    loop : tuple of int or None
        First and last frame of the loop, both included.
    rate : int
        Frames a second.
    id3 : bytes
        A whole ID3 tag (`chartkit.output.tags`), for what the format itself cannot tell.
    """
    chunks = []
    if cues:
        chunks += [_chunk(b"cue ", _cue(cues)), _chunk(b"LIST", _labels(cues))]
    if loop:
        chunks.append(_chunk(b"smpl", _sampler(*loop, rate)))
    if id3:
        chunks.append(_chunk(b"id3 ", id3))
    with path.open("rb+") as file:
        end = file.seek(0, 2)
        file.write(b"".join(chunks))
        file.seek(4)
        file.write(pack("<I", end + sum(map(len, chunks)) - _HEADER))


def _chunk(name: bytes, body: bytes) -> bytes:
    """Return a chunk, filled up to an even length that its header does not count."""
    return name + pack("<I", len(body)) + body + b"\0" * (len(body) % 2)


def _cue(cues: Sequence[tuple[int, str]]) -> bytes:
    points = (
        pack("<II4sIII", number, frame, b"data", 0, 0, frame)
        for number, (frame, _) in enumerate(cues, 1)
    )
    return pack("<I", len(cues)) + b"".join(points)


def _labels(cues: Sequence[tuple[int, str]]) -> bytes:
    labels = (
        _chunk(b"labl", pack("<I", number) + text.encode() + b"\0")
        for number, (_, text) in enumerate(cues, 1)
    )
    return b"adtl" + b"".join(labels)


def _sampler(first: int, last: int, rate: int) -> bytes:
    """Return one forward loop, played for ever, of a sound whose own pitch is middle C."""
    head = pack("<9I", 0, 0, _NANOSECONDS // rate, _MIDDLE_C, 0, 0, 0, 1, 0)
    return head + pack("<6I", 1, 0, first, last, 0, 0)
