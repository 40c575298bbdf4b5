"""What stands on the lines of a chart file, before it is a chart.

Conventions: everything carries the place where it stands; nothing is counted or compared yet. The
reader makes these from the text, `chartkit.sections` and `chartkit.header` make a chart of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto
from typing import Final, TypeAlias

from chartkit.chart import Mark, RightBarline, Sign
from chartkit.errors import Fault, Place, Severity

MOST_FAULTS: Final = 100
"""Faults that are told of one text; what has more of them is not nearly a chart or a phrase."""


@dataclass(frozen=True, slots=True)
class Word:
    """A piece of the text, and where it stands."""

    text: str
    place: Place

    def at(self, offset: int) -> Place:
        """Return the place so many characters into the word."""
        place = self.place
        return Place(place.source, place.line, place.column + offset, place.text)


class Misread(Exception):  # noqa: N818 (internal: becomes a Fault)
    """A word or a group of them cannot be read: what is wrong, and what could stand there."""

    def __init__(self, found: str, *expected: str) -> None:
        super().__init__(found)
        self.found = found
        self.expected = expected


class Report:
    """The faults of a text as they are found, by those who carry on after them.

    Attributes
    ----------
    faults : list of Fault
        In the order they are found.
    most : int
        So many are enough.
    """

    def __init__(self, most: int = MOST_FAULTS) -> None:
        self.faults: list[Fault] = []
        self.most = most
        self._warned: set[str] = set()

    @property
    def full(self) -> bool:
        """Whether looking for more is idle."""
        return len(self.faults) >= self.most

    @property
    def broken(self) -> bool:
        """Whether there is an error among them."""
        return any(fault.severity == "error" for fault in self.faults)

    def tell(
        self,
        place: Place | None,
        found: str,
        expected: tuple[str, ...] = (),
        severity: Severity = "error",
    ) -> None:
        """Add a fault."""
        assert place, "what is read from a text has its place"
        self.faults.append(Fault(place, found, expected, severity))

    def warn(self, place: Place | None, found: str, *expected: str) -> None:
        """Add a warning, the first time it is found."""
        if found not in self._warned:
            self._warned.add(found)
            self.tell(place, found, expected, "warning")

    def told(self) -> tuple[Fault, ...]:
        """Return the faults in order of place; where there are too many, the last says so."""
        faults = sorted(self.faults, key=lambda fault: (fault.place.line, fault.place.column))
        if len(faults) <= self.most:
            return tuple(faults)
        told, rest = faults[: self.most - 1], faults[self.most - 1 :]
        severity = min(fault.severity for fault in rest)  # "error" comes before "warning"
        found = f"{len(rest)} more faults from here on; mend those above first"
        return (*told, Fault(rest[0].place, found, severity=severity))


class Kind(Enum):
    """What a beat word is."""

    CHORD = auto()
    NO_CHORD = auto()
    SLASH = auto()


@dataclass(frozen=True, slots=True)
class Beat:
    """A chord, N.C. or a slash; `quoted` is the text before it, in its quotation marks."""

    kind: Kind
    word: Word
    quoted: Word | None = None
    turnaround: bool = False


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands between two bar lines.

    Parameters
    ----------
    place : Place
        Of its first word.
    beats : tuple of Beat
    simile : Word or None
        ``%`` or ``%%``; then there are no beats.
    meter : Word or None
        ``{3/4}``.
    marks : tuple of Mark
        In the order written.
    broken : bool
        A fault of it is known; its beats are not counted.
    """

    place: Place | None
    beats: tuple[Beat, ...] = ()
    simile: Word | None = None
    meter: Word | None = None
    marks: tuple[Mark, ...] = ()
    broken: bool = False

    @property
    def only_marks(self) -> bool:
        """Whether it holds words of navigation and no music."""
        return not (self.beats or self.simile or self.meter or self.broken)


@dataclass(frozen=True, slots=True)
class Barline:
    """One bar line: what it says to the bar on its left, then to the one on its right.

    Parameters
    ----------
    place : Place
        Where it begins.
    right : str
        How the bar before it ends.
    times : Word or None
        ``x3`` after ``:|``.
    opens : bool
        A repeat starts here.
    ending : Word or None
        ``1,2.``: the endings that start here.
    opening : Place or None
        Of ``|:`` or the ending.
    """

    place: Place
    right: RightBarline = "|"
    times: Word | None = None
    opens: bool = False
    ending: Word | None = None
    opening: Place | None = None

    def joined(self, other: Barline) -> Barline:
        """Return the one sign that this and the next row's first sign are together."""
        stronger = max(self, other, key=lambda one: _STRENGTH.index(one.right))
        return Barline(
            stronger.place,
            stronger.right,
            self.times or other.times,
            self.opens or other.opens,
            self.ending or other.ending,
            other.opening or self.opening,
        )


_STRENGTH: tuple[RightBarline, ...] = ("|", "||", "|]", ":|")

Row: TypeAlias = tuple[Barline | Cell, ...]
"""One line's bar lines and cells in turn; either may come first and last."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the file; all None for an empty one."""

    header: Word | None = None
    label: Word | None = None
    row: Row | None = None
    comment: Word | None = None


def sign_of(words: str) -> Sign:
    """Return the sign of a navigation word, whatever its case, spaces and full stops."""
    return _SIGNS[_bare(words)]


def _bare(words: str) -> str:
    return "".join(words.casefold().replace(".", "").split())


_SIGNS = {_bare(sign.value): sign for sign in Sign}
