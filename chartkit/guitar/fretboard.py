"""The fretboard as data.

Conventions: strings count from 1, the highest-sounding unless the tuning is re-entrant, as players
name them; fret 0 is the open string; fingers are 1 (index) to 4 (little), 0 for an open string. The
guitar part is written an octave above its sound; every number here is sounding pitch.

Position p is the fret of the first finger: fingers 1-4 stand on the frets p to p+3, and each end
may stretch by one fret, finger 1 to p-1 and finger 4 to p+4. Those six frets are the position's
window; in position I the window's lowest fret is the open string. [common practice, no source]
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

from chartkit.errors import RequestError

Place: TypeAlias = tuple[int, int]
"""A string and a fret."""

FINGERS: Final = 4

_NUMERALS: Final = ((10, "X"), (9, "IX"), (5, "V"), (4, "IV"), (1, "I"))


@dataclass(frozen=True, slots=True)
class Tuning:
    """A neck and how it is strung.

    Parameters
    ----------
    name : str
    open_strings : tuple of int
        MIDI numbers from the last string to the first, which is from the lowest-sounding to the
        highest unless the tuning is re-entrant.
    frets : int
        How many there are, counted from the capo where there is one.
    capo : int
        The fret it lies on; 0 for none.
    left_handed : bool
        It is played with the neck in the right hand; diagrams are drawn mirrored.
    """

    name: str
    open_strings: tuple[int, ...]
    frets: int
    capo: int = 0
    left_handed: bool = False

    @property
    def strings(self) -> range:
        """The strings' numbers, 1 first."""
        return range(1, len(self.open_strings) + 1)

    @property
    def positions(self) -> range:
        """Every position whose four frets lie on the neck."""
        return range(1, max(self.frets - FINGERS + 1, 1) + 1)


@dataclass(frozen=True, slots=True)
class Stop:
    """A note on the neck: where it is stopped and by which finger."""

    string: int
    fret: int
    finger: int


STANDARD = Tuning("standard", (40, 45, 50, 55, 59, 64), 22)
"""Standard guitar tuning, E2 A2 D3 G3 B3 E4 [common practice, no source]."""


def pitch_at(tuning: Tuning, string: int, fret: int) -> int:
    """Return the sounding pitch of a place; ValueError where the neck has no such place.

    >>> pitch_at(STANDARD, 1, 0), pitch_at(STANDARD, 6, 3)
    (64, 43)
    """
    if string not in tuning.strings or not 0 <= fret <= tuning.frets:
        raise ValueError(f"{tuning.name} tuning has no string {string} with fret {fret}")
    return tuning.open_strings[-string] + fret


def fret_of(tuning: Tuning, string: int, pitch: int) -> int:
    """Return the fret of a sounding pitch on a string; off the neck it is below 0 or too high.

    >>> fret_of(STANDARD, 6, 43), fret_of(STANDARD, 1, 43)
    (3, -21)
    """
    return pitch - tuning.open_strings[-string]


def places(tuning: Tuning, pitch: int, frets: Collection[int] | None = None) -> tuple[Place, ...]:
    """Return every place of a sounding pitch, the highest-sounding string first.

    Parameters
    ----------
    tuning : Tuning
    pitch : int
        MIDI note number.
    frets : collection of int, optional
        Only places on these frets; the whole neck by default.

    >>> places(STANDARD, 64)
    ((1, 0), (2, 5), (3, 9), (4, 14), (5, 19))
    >>> places(STANDARD, 64, window(5))
    ((2, 5), (3, 9))
    """
    every = ((string, fret_of(tuning, string, pitch)) for string in tuning.strings)
    on_neck = (place for place in every if 0 <= place[1] <= tuning.frets)
    return tuple(place for place in on_neck if frets is None or place[1] in frets)


def window(position: int) -> range:
    """Return the six frets of a position, both stretches included."""
    return range(position - 1, position + FINGERS + 1)


def check_position(tuning: Tuning, position: int) -> None:
    """Raise RequestError where a neck has no such position."""
    if position not in tuning.positions:
        last = tuning.positions[-1]
        raise RequestError(f"there is no position {position}; choose one from 1 to {last}")


def check_strings(tuning: Tuning, strings: Collection[int]) -> None:
    """Raise RequestError where a neck has no such strings, or none are chosen."""
    if not strings or not set(strings) <= set(tuning.strings):
        raise RequestError(f"strings are numbered 1 to {tuning.strings[-1]}; choose some of them")


def compass(tuning: Tuning, position: int | None = None) -> tuple[int, int]:
    """Return the lowest and the highest pitch of the instrument, or of a position's window.

    >>> compass(STANDARD), compass(STANDARD, 5)
    ((40, 86), (44, 73))
    """
    neck = range(tuning.frets + 1)
    frets = neck if position is None else [fret for fret in window(position) if fret in neck]
    return min(tuning.open_strings) + frets[0], max(tuning.open_strings) + frets[-1]


def stretches(tuning: Tuning, position: int, pitch_classes: Collection[int]) -> tuple[int, ...]:
    """Return the notes of a scale or chord that take a stretch in a position, lowest first.

    They are the notes between the lowest and the highest one lying on the four frets p to p+3
    that need p-1 or p+4; notes beyond those two are left out. How many there are orders the keys
    for study in that position. In position I an open string counts as p-1, so that a key one
    semitone up has the same stretches one fret up.

    Parameters
    ----------
    tuning : Tuning
    position : int
    pitch_classes : collection of int
        Semitones above C, 0-11.

    >>> f_major, c_major = {5, 7, 9, 10, 0, 2, 4}, {0, 2, 4, 5, 7, 9, 11}
    >>> stretches(STANDARD, 5, f_major), stretches(STANDARD, 5, c_major)
    ((), (59,))
    """
    low, high = compass(tuning, position)
    four_frets = range(position, position + FINGERS)
    notes = [p for p in range(low, high + 1) if p % 12 in pitch_classes]
    settled = [p for p in notes if places(tuning, p, four_frets)]
    inner = (p for p in notes if settled and settled[0] < p < settled[-1])
    return tuple(p for p in inner if p not in settled and places(tuning, p, window(position)))


def per_string(tuning: Tuning, pitches: Sequence[int], count: int) -> tuple[tuple[Place, ...], ...]:
    """Lay a rising scale on the strings, so many notes to each, from the lowest string up.

    Parameters
    ----------
    tuning : Tuning
    pitches : sequence of int
        MIDI note numbers; the first ones go on the lowest-sounding string.
    count : int
        Notes to a string, such as 3.

    Raises
    ------
    ValueError
        A note does not lie on the string that would have to take it, or strings run out.
    """
    rows = [pitches[first : first + count] for first in range(0, len(pitches), count)]
    shape = tuple(
        tuple((string, fret_of(tuning, string, pitch)) for pitch in row)
        for string, row in zip(reversed(tuning.strings), rows, strict=False)
    )
    on_neck = all(0 <= fret <= tuning.frets for row in shape for _, fret in row)
    if len(rows) > len(shape) or not on_neck:
        raise ValueError(f"these {len(pitches)} notes do not lie {count} to a string")
    return shape


def numeral(position: int) -> str:
    """Return a position's roman numeral, as fingering marks show it.

    >>> numeral(7), numeral(14)
    ('VII', 'XIV')
    """
    for value, sign in _NUMERALS:
        if position >= value:
            return sign + numeral(position - value)
    return ""
