"""Which keys to practise on which day.

Conventions: a round holds each of the twelve keys once. So many a day are taken from it in order,
the last day what is left, and the next day starts the round again: the fewest days in which all
twelve come up.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Final, TypeVar

from chartkit.guitar.fretboard import Tuning, stretches
from chartkit.technique.diatonic import Family, scale_of
from chartkit.theory.key import Key

T = TypeVar("T")

INTERVALS: Final = {"fourths": 5, "semitones": 1}
"""Orders of keys by the step from one to the next, in semitones upward."""


def round_of_keys(start: Key, interval: int) -> tuple[Key, ...]:
    """Return the twelve keys, each so many semitones above the one before.

    Parameters
    ----------
    start : Key
        It keeps its name, if a key signature can be written for it; the others have their
        customary ones.
    interval : int
        One of `INTERVALS`.
    """
    first = start.tonic.pitch_class
    keys = [Key.written(first + interval * number, start.mode) for number in range(12)]
    return (start.customary, *keys[1:])


def by_stretches(
    keys: Sequence[Key], family: Family, position: int, tuning: Tuning
) -> tuple[Key, ...]:
    """Return keys by the number of stretches that their scale takes in a position, fewest first."""

    def count(key: Key) -> int:
        return len(stretches(tuning, position, scale_of(key, family).pitch_classes))

    return tuple(sorted(keys, key=count))


def of_day(items: Sequence[T], a_day: int, day: int) -> tuple[T, ...]:
    """Return what a day takes from a round.

    Parameters
    ----------
    items : sequence
        The round, in order.
    a_day : int
        How many at most, from 1.
    day : int
        From 1.

    >>> of_day("CFBEAD", 4, 1), of_day("CFBEAD", 4, 2), of_day("CFBEAD", 4, 3)
    (('C', 'F', 'B', 'E'), ('A', 'D'), ('C', 'F', 'B', 'E'))
    """
    first = (day - 1) % ceil(len(items) / a_day) * a_day
    return tuple(items[first : first + a_day])
