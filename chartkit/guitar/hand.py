"""The hand on the neck: where it may stand and how each finger comes down.

Conventions: the hand's position is the fret of its first finger, stretched or not. While it stands
still every fret of its window has one finger: 1 for p-1 and p, 2 for p+1, 3 for p+2, 4 for p+3
and p+4. A shift is a change of position between two notes; nothing else is, so a stretch of
finger 1 to p-1 leaves the hand at p. An open string takes no finger and may be played wherever
the hand stands, if open strings are asked for; in position I it always may.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from chartkit.guitar.fretboard import FINGERS, Stop, Tuning, numeral, places, window


@dataclass(frozen=True, slots=True, order=True)
class Grip:
    """A note in the hand; grips sort from low on the neck to high.

    Parameters
    ----------
    position : int
        Where the hand stands.
    fret, string, finger : int
    """

    position: int
    fret: int
    string: int
    finger: int

    @property
    def is_open(self) -> bool:
        """The string sounds open."""
        return self.fret == 0

    @property
    def stretched(self) -> bool:
        """The finger reaches past its own fret."""
        return not self.is_open and not 0 <= self.fret - self.position < FINGERS

    @property
    def stop(self) -> Stop:
        """The same without the hand."""
        return Stop(self.string, self.fret, self.finger)


@dataclass(frozen=True, slots=True)
class Neck:
    """The part of the neck that a line may use.

    Parameters
    ----------
    tuning : Tuning
    positions : range
        Where the hand may stand.
    strings : frozenset of int
    open_strings : bool
        Open strings are asked for: they may be used in every position, not only in position I.
    """

    tuning: Tuning
    positions: range
    strings: frozenset[int]
    open_strings: bool

    def __str__(self) -> str:
        words = []
        if len(self.positions) == 1:
            words.append(f"in position {numeral(self.positions[0])}")
        if self.strings < set(self.tuning.strings):
            noun = "strings" if len(self.strings) > 1 else "string"
            words.append(f"on {noun} {', '.join(map(str, sorted(self.strings)))}")
        return " ".join(words) or "on this neck"

    def grips(self, pitch: int) -> tuple[Grip, ...]:
        """Return every way to play a sounding pitch, in order; empty where there is none."""
        return tuple(sorted(self._grips(pitch)))

    def _grips(self, pitch: int) -> Iterator[Grip]:
        for string, fret in places(self.tuning, pitch):
            if string in self.strings:
                for position in self._positions(fret):
                    yield Grip(position, fret, string, finger_for(position, fret))

    def _positions(self, fret: int) -> Iterator[int]:
        """Yield where the hand may stand for a fret."""
        anywhere = fret == 0 and self.open_strings
        return (p for p in self.positions if anywhere or fret in window(p))


def finger_for(position: int, fret: int) -> int:
    """Return the finger that stands on a fret of a position's window, 0 on an open string.

    >>> [finger_for(5, fret) for fret in window(5)]
    [1, 1, 2, 3, 4, 4]
    """
    if fret == 0:
        return 0
    return min(max(fret - position, 0), FINGERS - 1) + 1
