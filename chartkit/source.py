"""The text of a chart file: how it is loaded, and places in it.

Conventions: UTF-8, with or without a byte-order mark; lines end in LF, CR LF or CR. Lines and
columns count from 1.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from chartkit.errors import OutputError, Place

LIMIT: Final = 256 * 1024
"""Bytes of the largest text that is read; a chart of a thousand bars has a tenth of them."""

_TOO_LARGE: Final = "the text is larger than 256 kB, so it is not a {}"
TOO_LARGE: Final = _TOO_LARGE.format("chart")


@dataclass(frozen=True, slots=True)
class Source:
    """A text as lines, and the name it goes by in messages."""

    name: str
    lines: tuple[str, ...]

    @classmethod
    def of(cls, text: str, name: str) -> Source:
        """Split a text into its lines, without their ends and without a byte-order mark."""
        plain = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
        return cls(name, tuple(plain.split("\n")))

    @property
    def text(self) -> str:
        """The lines again, each ended by a plain LF."""
        return "\n".join(self.lines)

    def place(self, line: int, column: int) -> Place:
        """Return a place with its line's text."""
        return Place(self.name, line, column, self.lines[line - 1])


def too_large(noun: str) -> str:
    """Return what is said of a text that is too large for what it should be."""
    return _TOO_LARGE.format(noun)


def load(path: str, noun: str = "chart") -> str:
    """Return the text of a file, or of standard input for ``-``.

    Parameters
    ----------
    path : str
    noun : str
        What it should hold, for messages.

    Raises
    ------
    OutputError
        There is no such file, it cannot be read, it is no text, or it is larger than `LIMIT`.
    """
    data = load_bytes(path, LIMIT, noun)
    if len(data) > LIMIT:
        raise OutputError(f"cannot read {path}: {too_large(noun)}")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        advice = f"line {line} is not UTF-8 text; save it as UTF-8 and run it again"
        raise OutputError(f"cannot read {path}: {advice}") from error


def load_bytes(path: str, limit: int, noun: str) -> bytes:
    """Return the bytes of a file, or of standard input for ``-``; one more than the limit at most.

    Raises
    ------
    OutputError
        There is no such file, or it cannot be read.
    """
    try:
        return _first_bytes(path, limit + 1)
    except (OSError, ValueError) as error:
        raise OutputError(f"cannot read {path}: {_reason(error, noun)}") from error


def _first_bytes(path: str, count: int) -> bytes:
    if path == "-":
        return sys.stdin.buffer.read(count)
    with Path(path).open("rb") as file:
        return file.read(count)


def _reason(error: OSError | ValueError, noun: str) -> str:
    reasons: dict[type[Exception], str] = {
        FileNotFoundError: "there is no such file",
        IsADirectoryError: f"that is a folder; name a {noun} file in it",
        PermissionError: "you have no right to read it",
    }
    return reasons.get(type(error)) or (getattr(error, "strerror", None) or str(error)).lower()
