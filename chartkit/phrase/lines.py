"""What stands on the lines of a phrase file, before it is a phrase.

Conventions: everything carries the place where it stands; nothing is counted or compared yet. The
reader makes these from the text, `chartkit.phrase.assemble` makes a phrase of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto
from typing import TypeAlias

from chartkit.errors import Place
from chartkit.lines import Cell, Word


class SoundKind(Enum):
    """What a word of melody is."""

    REST = auto()
    PITCH = auto()
    DEGREE = auto()


@dataclass(frozen=True, slots=True)
class Sound:
    """A note or a rest as written.

    Parameters
    ----------
    kind : SoundKind
    word : Word
    value : Word or None
        The note value before it, if there is one.
    way : int
        So many times ``up``; below zero ``down``.
    tie : Word or None
    """

    kind: SoundKind
    word: Word
    value: Word | None = None
    way: int = 0
    tie: Word | None = None

    @property
    def place(self) -> Place:
        """Of its first word."""
        return (self.value or self.word).place


@dataclass(frozen=True, slots=True)
class MelodyBar:
    """What stands between two bar lines of melody; `broken`: a fault of it is known."""

    place: Place
    sounds: tuple[Sound, ...] = ()
    broken: bool = False


@dataclass(frozen=True, slots=True)
class ChordRow:
    """A line of chords; `opens` and `closes`: there is a bar line before and after its bars."""

    word: Word
    bars: tuple[Cell, ...]
    opens: bool
    closes: bool


@dataclass(frozen=True, slots=True)
class MelodyRow:
    """A line of melody; `opens` and `closes`: there is a bar line before and after its bars."""

    word: Word
    bars: tuple[MelodyBar, ...]
    opens: bool
    closes: bool


Row: TypeAlias = ChordRow | MelodyRow


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the file; all None for an empty one."""

    header: Word | None = None
    row: Row | None = None
    comment: Word | None = None
