"""Another key each time round: by a step, such as the cycle of fourths, or by a list.

Conventions: a whole number is a step in semitones from one time round to the next, above zero
upward; names are keys in turn, over again when the last has been played. The mode is the tune's.
"""

from __future__ import annotations

from math import gcd
from typing import Final, TypeAlias

from chartkit.errors import RequestError
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName

Keys: TypeAlias = int | tuple[NoteName, ...]
"""A step in semitones or tonics in turn; 0 (and no tonics at all) is one key throughout."""

FOURTHS: Final = 5
"""The step of the cycle of fourths: C, F, B flat ..."""

OCTAVE: Final = 12


def key_in_turn(home: Key, keys: Keys, number: int) -> Key:
    """Return the key of a time round, from 1.

    Parameters
    ----------
    home : Key
        The first key of a step; a list has its own. The mode is kept.
    keys : int or tuple of NoteName
    number : int

    Examples
    --------
    >>> home = Key(NoteName.parse("F"))
    >>> [str(key_in_turn(home, FOURTHS, number)) for number in (1, 2, 3)]
    ['F major', 'Bb major', 'Eb major']
    """
    if not isinstance(keys, int):
        return Key(keys[(number - 1) % len(keys)], home.mode) if keys else home
    away = keys * (number - 1) % OCTAVE
    return Key.written(home.tonic.pitch_class + away, home.mode) if away else home


def times_for(keys: Keys) -> int:
    """Return how many times round it takes until every key has been played once."""
    return OCTAVE // gcd(OCTAVE, keys) if isinstance(keys, int) else max(1, len(keys))


def check_keys(keys: Keys, key: Key | None) -> None:
    """Raise RequestError unless these keys and the key asked for make sense together."""
    if isinstance(keys, int):
        if abs(keys) >= OCTAVE:
            raise RequestError("keys go up or down by 1-11 semitones each time round")
    elif keys and key:
        raise RequestError("ask for one key or for keys in turn, not for both")
