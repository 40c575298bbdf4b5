"""What a sound file tells of its music: its title, its tempo and a comment.

libsndfile writes titles and comments of WAV, FLAC and Ogg Vorbis; it knows no tempo, and of MP3
only the short old tags at the end. So an MP3 file begins with an ID3 tag of our own, which a WAV
file has in a chunk; and in FLAC and Ogg, whose comments are a list of NAME=value, the tempo is
given as a date, whose name is then written over.

Sources: ID3v2.3.0, 3.1 (header), 3.3 (frames) and 4.2.1 (TIT2, TBPM, a whole number), 4.11 (COMM);
Ogg, RFC 3533, 6 (pages and their checksum); Ogg Vorbis I, 5 (comments). That the tempo's name among
those comments is BPM is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from struct import pack
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from soundfile import SoundFile

_TEMPO: Final = b"BPM"
_DATE: Final = b"DATE"

_HEAD: Final = 2**16
"""Bytes at a file's beginning within which its comments are."""

_PAGE: Final = b"OggS"
_CHECKSUM: Final = 22
_SEGMENTS: Final = 26
_POLYNOMIAL: Final = 0x04C11DB7
"""Where an Ogg page has its checksum and its number of segments, and how the sum is made."""


@dataclass(frozen=True, slots=True)
class Tags:
    """What a file tells of its music.

    Parameters
    ----------
    title : str
    tempo : Fraction or None
        Beats of the meter a minute, at the beginning.
    comment : str
    """

    title: str = ""
    tempo: Fraction | None = None
    comment: str = ""


NONE: Final = Tags()


def give(file: SoundFile, tags: Tags) -> None:
    """Hand an open file's tags to libsndfile; the tempo as a date, for `name_tempo`."""
    if tags.title:
        file.title = tags.title
    if tags.comment:
        file.comment = tags.comment
    if tags.tempo and file.format in ("FLAC", "OGG"):
        file.date = _placeholder(tags.tempo)


def name_tempo(path: Path, tags: Tags) -> None:
    """Write the tempo over its placeholder in a finished FLAC or Ogg file."""
    if tags.tempo is None:
        return
    old = _DATE + b"=" + _placeholder(tags.tempo).encode()
    new = _TEMPO + b"=" + decimal(tags.tempo).encode()
    with path.open("rb+") as file:
        head = bytearray(file.read(_HEAD))
        at = head.upper().index(pack("<I", len(old)) + old) + 4
        head[at : at + len(old)] = new
        if head.startswith(_PAGE):
            seal(head, head.rindex(_PAGE, 0, at))
        file.seek(0)
        file.write(head)


def id3(tags: Tags) -> bytes:
    """Return tags as an ID3v2.3 tag, empty where there is nothing to tell."""
    frames = b""
    if tags.title:
        frames += _frame(b"TIT2", _text(tags.title))
    if tags.tempo:
        frames += _frame(b"TBPM", _text(str(round(tags.tempo))))
    if tags.comment:
        language, no_description = b"eng", _text("")[1:] + b"\0\0"
        frames += _frame(b"COMM", b"\1" + language + no_description + _text(tags.comment)[1:])
    size = bytes(len(frames) >> shift & 0x7F for shift in (21, 14, 7, 0))
    return b"ID3\3\0\0" + size + frames if frames else b""


def decimal(tempo: Fraction) -> str:
    """Return a tempo in figures, with at most two decimals: 138, 133.7."""
    return f"{float(tempo):.2f}".rstrip("0").rstrip(".")


def _frame(name: bytes, body: bytes) -> bytes:
    return name + pack(">IH", len(body), 0) + body


def _text(words: str) -> bytes:
    """Return a text frame's body: UTF-16, told by the 1 before it, with its byte order."""
    return b"\1\xff\xfe" + words.encode("utf-16-le")


def _placeholder(tempo: Fraction) -> str:
    """Return a date that makes a comment as long as the tempo does."""
    return "0" * (len(decimal(tempo)) - len(_DATE) + len(_TEMPO))


def seal(data: bytearray, page: int) -> None:
    """Write the checksum of the Ogg page at a place anew."""
    count = data[page + _SEGMENTS]
    body = page + _SEGMENTS + 1 + count
    end = body + sum(data[body - count : body])
    data[page + _CHECKSUM : page + _CHECKSUM + 4] = bytes(4)
    data[page + _CHECKSUM : page + _CHECKSUM + 4] = pack("<I", _sum(bytes(data[page:end])))


def _sum(page: bytes) -> int:
    """Return a page's checksum: a cyclic redundancy check, highest bit first, from 0."""
    value = 0
    for byte in page:
        value ^= byte << 24
        for _ in range(8):
            value = (value << 1 ^ (_POLYNOMIAL if value >> 31 else 0)) & 0xFFFFFFFF
    return value
