"""Twelve keys by twelve positions: where on the neck a player has been, and where it was clean.

Conventions: keys by their tonic in the circle of fourths, major and minor together; positions I to
XII, since the neck repeats at the twelfth fret.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Final

from chartkit.practice.entry import Entry
from chartkit.theory.pitch import NoteName

KEYS: Final = ("C", "F", "Bb", "Eb", "Ab", "Db", "Gb", "B", "E", "A", "D", "G")
POSITIONS: Final = tuple(range(1, 13))


@dataclass(frozen=True, slots=True)
class Square:
    """One key in one position: on how many days it was played, and on how many it was clean."""

    key: str
    position: int
    days: int = 0
    clean: int = 0


def coverage(
    entries: Iterable[Entry], home_keys: Mapping[str, str] | None = None
) -> tuple[Square, ...]:
    """Return all 144 squares, key by key.

    Parameters
    ----------
    entries : iterable of Entry
        Those without a position, or on the neck as a whole, are passed over.
    home_keys : mapping, optional
        Keys of tunes by their ids, for entries that stay in the tune's own.
    """
    played: dict[tuple[str, int], set[date]] = {}
    clean: dict[tuple[str, int], set[date]] = {}
    for entry in entries:
        key = key_of(entry.key or (home_keys or {}).get(entry.tune or "", ""))
        if key is None or entry.position is None:
            continue
        square = key, (entry.position - 1) % 12 + 1
        played.setdefault(square, set()).add(entry.day)
        if entry.result == "clean":
            clean.setdefault(square, set()).add(entry.day)
    return tuple(
        Square(
            key, position, len(played.get((key, position), ())), len(clean.get((key, position), ()))
        )
        for key in KEYS
        for position in POSITIONS
    )


@lru_cache(maxsize=256)
def key_of(text: str) -> str | None:
    """Return the tonic of a key as `KEYS` has it; None where the text is no key.

    >>> key_of("A# minor"), key_of("Gm7"), key_of("F#m"), key_of("")
    ('Bb', None, 'Gb', None)
    """
    tonic, _, _ = text.partition(" ")
    try:
        name = NoteName.parse(tonic.removesuffix("m"))
    except ValueError:
        return None
    return _BY_CLASS[name.pitch_class]


_BY_CLASS: Final = {NoteName.parse(key).pitch_class: key for key in KEYS}
