"""Spelled notes and degrees.

Conventions: a pitch class counts semitones from C (0-11); MIDI note 60 is middle C, written C4.
A `NoteName` keeps its spelling (F sharp is not G flat); a `Degree` is a distance spelled the same
way, counted from 1 as players do, against the major scale: the flat nine is ``Degree(9, -1)``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

LETTERS: Final = "CDEFGAB"
NATURAL: Final = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
"""Pitch class of each letter without an accidental."""

_BY_CLASS: Final = {pitch_class: letter for letter, pitch_class in NATURAL.items()}

MAJOR_STEPS: Final = (0, 2, 4, 5, 7, 9, 11)
"""Semitones of the degrees 1-7 of a major scale above its root."""

_NAME: Final = re.compile(r"([A-G])(##|bb|#|b)?")
_DEGREE: Final = re.compile(r"(bb|##|b|#)?([1-9]\d?)")
_PITCH: Final = re.compile(r"([A-G])(##|bb|#|b)?(-?\d+)")


@dataclass(frozen=True, slots=True)
class NoteName:
    """A letter and its accidental, such as B flat; no octave.

    Parameters
    ----------
    letter : str
        ``C`` to ``B``.
    alter : int
        Semitones of the accidental: -2 double flat to 2 double sharp.
    """

    letter: str
    alter: int = 0

    @property
    def pitch_class(self) -> int:
        """Semitones above C, 0-11."""
        return (NATURAL[self.letter] + self.alter) % 12

    @property
    def plain(self) -> NoteName:
        """The same sound as a natural or, failing that, with one accidental on the same side.

        >>> [str(NoteName.parse(name).plain) for name in ("Cb", "F##", "B##", "Bb")]
        ['B', 'G', 'C#', 'Bb']
        """
        natural = _BY_CLASS.get(self.pitch_class)
        if natural:
            return NoteName(natural)
        side = 1 if self.alter > 0 else -1
        return NoteName(_BY_CLASS[(self.pitch_class - side) % 12], side)

    def __str__(self) -> str:
        return self.letter + accidental(self.alter)

    def up(self, degree: Degree) -> NoteName:
        """Return the note a degree above, spelled by the degree.

        >>> str(NoteName("E").up(Degree(9, 1)))
        'F##'
        """
        letter = LETTERS[(LETTERS.index(self.letter) + degree.number - 1) % 7]
        distance = self.pitch_class + degree.semitones - NATURAL[letter]
        return NoteName(letter, (distance + 6) % 12 - 6)

    @classmethod
    def parse(cls, text: str) -> NoteName:
        """Read ``Bb`` or ``F#``; raise ValueError on anything else."""
        match = _NAME.fullmatch(text)
        if not match:
            raise ValueError(f"`{text}` is not a note name")
        return cls(match[1], _alter(match[2]))


@dataclass(frozen=True, slots=True)
class Degree:
    """A scale degree against the major scale, such as the sharp eleven.

    Parameters
    ----------
    number : int
        From 1; 9, 11 and 13 lie an octave above 2, 4 and 6.
    alter : int
        Semitones away from the major scale's degree.
    """

    number: int
    alter: int = 0

    @property
    def semitones(self) -> int:
        """Distance above the root, octaves included."""
        octave, step = divmod(self.number - 1, 7)
        return 12 * octave + MAJOR_STEPS[step] + self.alter

    def __str__(self) -> str:
        return accidental(self.alter) + str(self.number)

    @classmethod
    def parse(cls, text: str) -> Degree:
        """Read ``b9`` or ``#11``; raise ValueError on anything else.

        >>> Degree.parse("b9").semitones
        13
        """
        match = _DEGREE.fullmatch(text)
        if not match:
            raise ValueError(f"`{text}` is not a degree")
        return cls(int(match[2]), _alter(match[1]))


@dataclass(frozen=True, slots=True)
class Pitch:
    """A note name in an octave; the octave changes at C, and C4 is middle C.

    >>> Pitch(NoteName("B", 1), 3).midi == Pitch(NoteName("C"), 4).midi
    True
    """

    name: NoteName
    octave: int

    @property
    def midi(self) -> int:
        """MIDI note number."""
        return 12 * (self.octave + 1) + NATURAL[self.name.letter] + self.name.alter

    def __str__(self) -> str:
        return f"{self.name}{self.octave}"

    @classmethod
    def parse(cls, text: str) -> Pitch:
        """Read ``Eb4`` or ``F#3``; raise ValueError on anything else."""
        match = _PITCH.fullmatch(text)
        if not match:
            raise ValueError(f"`{text}` is not a note with its octave")
        return cls(NoteName(match[1], _alter(match[2])), int(match[3]))

    @classmethod
    def at(cls, name: NoteName, midi: int) -> Pitch:
        """Return the pitch of this name that sounds at a MIDI number; ValueError if none does."""
        octave, rest = divmod(midi - NATURAL[name.letter] - name.alter, 12)
        if rest:
            raise ValueError(f"MIDI note {midi} cannot be written as {name}")
        return cls(name, octave - 1)


def degrees(text: str) -> tuple[Degree, ...]:
    """Read a row of degrees, such as ``1 b3 5 b7``."""
    return tuple(Degree.parse(word) for word in text.split())


def accidental(alter: int) -> str:
    """Return ``b``, ``##``, ... or nothing for a natural."""
    return "#" * alter if alter > 0 else "b" * -alter


def _alter(text: str | None) -> int:
    return 0 if not text else len(text) * (1 if text[0] == "#" else -1)
