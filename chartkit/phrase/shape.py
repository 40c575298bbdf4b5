"""The range of a phrase, its way up and down, and where it lies on the neck."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from chartkit.errors import CannotPlay
from chartkit.guitar.fingering import Fingering, finger
from chartkit.guitar.fretboard import Tuning
from chartkit.phrase.line import line_of
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.values import heard
from chartkit.theory.pitch import Pitch


@dataclass(frozen=True, slots=True)
class Move:
    """A stretch of a phrase that goes one way.

    Parameters
    ----------
    way : int
        1 up, -1 down, 0 on one note.
    to : Pitch
        Where it arrives.
    semitones : int
        How far it goes; below zero down.
    notes : int
        Notes after the one that it leaves.
    """

    way: int
    to: Pitch
    semitones: int
    notes: int


@dataclass(frozen=True, slots=True)
class InPosition:
    """A phrase in one position of the hand; `cost` as `chartkit.guitar.cost` counts it."""

    position: int
    cost: float
    stretched: bool


def pitches_of(phrase: Phrase) -> tuple[Pitch, ...]:
    """Return the pitches of a phrase as they are heard, ties joined."""
    return tuple(one.pitch for one in heard(phrase.notes) if one.pitch)


def range_of(phrase: Phrase) -> tuple[Pitch, Pitch] | None:
    """Return the lowest and the highest note; None where there are none."""
    pitches = sorted(pitches_of(phrase), key=lambda pitch: pitch.midi)
    return (pitches[0], pitches[-1]) if pitches else None


def contour_of(phrase: Phrase) -> tuple[Move, ...]:
    """Return the ways that a phrase goes, one after the other."""
    return tuple(_moves(pitches_of(phrase)))


def _moves(pitches: Sequence[Pitch]) -> Iterator[Move]:
    for way, group in groupby(pairwise(pitches), key=_way):
        steps = list(group)
        (first, _), (_, last) = steps[0], steps[-1]
        yield Move(way, last, last.midi - first.midi, len(steps))


def _way(pair: tuple[Pitch, Pitch]) -> int:
    one, other = pair
    return (other.midi > one.midi) - (other.midi < one.midi)


def positions_of(phrase: Phrase, tuning: Tuning) -> tuple[InPosition, ...]:
    """Return every position in which a whole phrase lies, the easiest first.

    Parameters
    ----------
    phrase : Phrase
    tuning : Tuning
    """
    line = line_of(phrase)
    found: list[InPosition] = []
    for position in tuning.positions:
        try:
            fingering = finger(line, tuning, position=position)
        except CannotPlay:
            continue
        found.append(InPosition(position, fingering.cost, fingering.stretched))
    return tuple(sorted(found, key=lambda one: (one.cost, one.position)))


def best_fingering(phrase: Phrase, tuning: Tuning, position: int | None = None) -> Fingering:
    """Return the fingering of a phrase in a position, or in the easiest that there is.

    Where it lies in no position the hand moves.

    Raises
    ------
    CannotPlay
        A note is not on the neck, or not in the position.
    """
    if position is None:
        lying = positions_of(phrase, tuning)
        position = lying[0].position if lying else None
    return finger(line_of(phrase), tuning, position=position)
