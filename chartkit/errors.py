"""Everything that can go wrong, as values and as exceptions.

Conventions: lines and columns count from 1, columns in characters. A `Fault` is a value: a reader
collects many and carries on. An exception ends the work, and carries an ``exit_code`` for the
command line: 1 where a chart or a file is at fault, 2 where the request is.

::

    ChartkitError            exit 1
    ├── ChartFaults          a chart text that holds faults (carries them all)
    ├── ChordError           a chord symbol that cannot be read
    ├── CannotPlay           the music asked for does not exist (range too small, no chord, ...)
    ├── SoundError           no synthesiser library, no usable soundfont, no sound device
    ├── OutputError          a file that cannot be read or written
    └── RequestError         exit 2: what was asked for is not there or not sensible
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar, Literal

Severity = Literal["error", "warning"]

QUOTE_WIDTH = 80
"""Columns of a faulty line that are shown; longer lines are cut around the caret."""


@dataclass(frozen=True, slots=True)
class Place:
    """A point in a text.

    Parameters
    ----------
    source : str
        File name, or ``-`` for standard input.
    line, column : int
        Both from 1.
    text : str
        The whole line, without its line end.
    """

    source: str
    line: int
    column: int
    text: str = field(default="", compare=False)

    def __str__(self) -> str:
        return f"{self.source}:{self.line}:{self.column}"

    def quote(self) -> str:
        """Return the line and a caret under the column, at most `QUOTE_WIDTH` columns wide."""
        first = max(0, min(self.column - 1 - QUOTE_WIDTH // 2, len(self.text) - QUOTE_WIDTH))
        shown = self.text[first : first + QUOTE_WIDTH].replace("\t", " ")
        printable = "".join(c if c.isprintable() else "�" for c in shown)
        return f"{printable}\n{' ' * (self.column - 1 - first)}^"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a text: where, what stood there, and what could stand there.

    `found` is a clause ("`H7` is not a chord"); `expected` lists what could stand there instead,
    in words of a player ("a chord", "a bar line"), and may be empty where `found` says it all.
    """

    place: Place
    found: str
    expected: tuple[str, ...] = ()
    severity: Severity = "error"

    def __str__(self) -> str:
        hint = f"; expected {either(self.expected)}" if self.expected else ""
        kind = "warning: " if self.severity == "warning" else ""
        return f"{self.place}: {kind}{self.found}{hint}\n{self.place.quote()}"


def either(words: tuple[str, ...]) -> str:
    """Join words as speech does.

    >>> either(("a chord", "`/`", "a bar line"))
    'a chord, `/` or a bar line'
    """
    *most, last = words
    return f"{', '.join(most)} or {last}" if most else last


class ChartkitError(Exception):
    """Base of every error that chartkit raises on purpose; its text is one clear sentence."""

    exit_code: ClassVar[int] = 1


class ChartFaults(ChartkitError):  # noqa: N818 (faults, in the plural)
    """A chart text holds faults.

    Attributes
    ----------
    faults : tuple of Fault
        All of them in order of place, warnings included.
    """

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__("\n".join(map(str, faults)))
        self.faults = faults


class ChordError(ChartkitError, ValueError):
    """A chord symbol cannot be read.

    Attributes
    ----------
    symbol : str
        The symbol as written.
    found : str
        What is wrong with it, a clause.
    expected : tuple of str
        What could have been meant.
    """

    def __init__(self, symbol: str, found: str, expected: tuple[str, ...] = ()) -> None:
        super().__init__(f"{found}; expected {either(expected)}" if expected else found)
        self.symbol = symbol
        self.found = found
        self.expected = expected


class CannotPlay(ChartkitError):  # noqa: N818 (the player's words, not the program's)
    """The music asked for does not exist on this chart or in this range."""


class SoundError(ChartkitError):
    """No synthesiser library, no usable soundfont, or no sound device."""


class OutputError(ChartkitError):
    """A file cannot be read or written."""


class RequestError(ChartkitError, ValueError):
    """What was asked for is not there or not sensible."""

    exit_code: ClassVar[int] = 2
