"""A tempo ladder: the same music again and again, a little faster each time or every few times.

Conventions: a step up begins on the first beat of a time round. The last step is as small as the
top asks for, and the top is held from there on.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from chartkit.errors import RequestError


@dataclass(frozen=True, slots=True)
class Ladder:
    """How the tempo rises; it starts from the take's own.

    Parameters
    ----------
    by : Fraction
        Quarter notes a minute that a step adds, above zero.
    up_to : Fraction
        The fastest tempo.
    every : int
        Times round at each tempo.

    Raises
    ------
    RequestError
        It would not rise.
    """

    by: Fraction
    up_to: Fraction
    every: int = 1

    def __post_init__(self) -> None:
        if self.by <= 0 or self.every < 1:
            raise RequestError("a tempo ladder goes up by more than nothing, every time or less")

    def tempo(self, first: Fraction, number: int) -> Fraction:
        """Return the tempo of a time round; `first` is that of time round 1."""
        return min(first + self.by * ((number - 1) // self.every), self.up_to)

    def times(self, first: Fraction) -> int:
        """Return how many times round it takes to have played every tempo as often as asked."""
        return self.every * (1 + ceil((self.up_to - first) / self.by))
