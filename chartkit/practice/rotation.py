"""Things that go round: none comes again until all have come.

Conventions: what was had is given in order, and a round begins anew as soon as it is full. So the
past alone tells where a round stands: a day that was missed changes nothing, and nothing piles up.
"""

from __future__ import annotations

import random
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Round(Generic[T]):
    """Where a round stands.

    Parameters
    ----------
    number : int
        How many were full before it.
    taken : tuple
        What it has had, in order.
    """

    number: int
    taken: tuple[T, ...]


def standing(had: Iterable[T], whole: Collection[T]) -> Round[T]:
    """Return where the round stands after all that was had.

    >>> standing("ABCAB", "ABC")
    Round(number=1, taken=('A', 'B'))
    """
    number, taken = 0, dict[T, None]()
    for one in had:
        if one in whole:
            taken[one] = None
        if len(taken) == len(whole):
            number, taken = number + 1, {}
    return Round(number, tuple(taken))


def following(had: Sequence[T], whole: Sequence[T], count: int) -> tuple[T, ...]:
    """Return what comes next, in the order of the whole: first what the round still lacks.

    >>> following("CFBEAD", "CFBEADGH", 4)
    ('G', 'H', 'C', 'F')
    """
    taken = standing(had, whole).taken
    lacking = [one for one in whole if one not in taken]
    again = [one for one in whole if one in taken]
    return tuple((lacking + again)[:count])


def keys_following(
    had: Sequence[str], fourths: Sequence[str], count: int, seed: str
) -> tuple[str, ...]:
    """Return the next keys round the cycle of fourths; each round sets out from another key.

    A round that has begun goes on behind its last key, so that no fourth is left out on the way.

    >>> fourths = "C F Bb Eb Ab Db Gb B E A D G".split()
    >>> keys_following(["E", "A", "D"], fourths, 4, "")
    ('G', 'C', 'F', 'Bb')

    Parameters
    ----------
    had : sequence of str
    fourths : sequence of str
        The twelve in their cycle.
    count : int
        At most twelve.
    seed : str
    """
    now = standing(had, fourths)
    if now.taken:
        order = _from(fourths, fourths.index(now.taken[-1]) + 1)
    else:
        order = _turned(fourths, f"{seed} {now.number}", had[-count:])
    lacking = [key for key in order if key not in now.taken]
    if len(lacking) >= count:
        return tuple(lacking[:count])
    anew = _turned(fourths, f"{seed} {now.number + 1}", lacking)
    return tuple(lacking + [key for key in anew if key not in lacking])[:count]


def _turned(fourths: Sequence[str], seed: str, lately: Sequence[str]) -> list[str]:
    """Return the cycle from a key by chance, not one of those had lately where others are left."""
    fresh = [n for n, key in enumerate(fourths) if key not in lately]
    return _from(fourths, random.Random(seed).choice(fresh or range(len(fourths))))


def _from(fourths: Sequence[str], start: int) -> list[str]:
    """Return the cycle from one of its keys."""
    return [*fourths[start:], *fourths[:start]]


def shuffled(values: Iterable[T], seed: str) -> tuple[T, ...]:
    """Return values in an order by chance, the same for the same seed."""
    order = list(values)
    random.Random(seed).shuffle(order)
    return tuple(order)


def choices(had: Sequence[T], whole: Sequence[T], seed: str, lately: Collection[T]) -> list[T]:
    """Return the whole in the order to choose from: what the round lacks, by chance, then the rest.

    Parameters
    ----------
    had : sequence
    whole : sequence
    seed : str
    lately : collection
        The last day's, which come after the others of their kind.
    """
    now = standing(had, whole)
    order = shuffled(whole, f"{seed} {now.number}")
    return sorted(order, key=lambda one: (one in now.taken, one in lately))
