"""What every rule that chooses an item is told, and the choices that it leaves.

Conventions: a slot is a place in the day for one item, with every size that the item can have, the
shortest first; `chartkit.practice.fitting` takes one size for each.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import Final

from chartkit.practice.item import Item
from chartkit.practice.past import Had, Past
from chartkit.practice.rotation import choices
from chartkit.practice.template import Template

Measure = Callable[[Item], tuple[Fraction, Fraction]]
"""Gives the beats of an item once round, and of one bar of count-in before it."""

FARTHEST: Final = 4
"""An item may be so many times as long as its share where nothing else fills the day."""


@dataclass(frozen=True, slots=True)
class PhraseFacts:
    """A phrase by what a plan needs; `like` are the ids of those it is easily mixed up with."""

    id: str
    title: str
    like: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Day:
    """What is known when a day is planned.

    Parameters
    ----------
    day : date
    player : str
        Chance is seeded with it.
    past : Past
    template : Template
    measure : callable
    phrases : tuple of PhraseFacts
        That may come up in the vocabulary.
    without : frozenset of (str, str, str)
        Tune, part and line that cannot be played.
    """

    day: date
    player: str
    past: Past
    template: Template
    measure: Measure
    phrases: tuple[PhraseFacts, ...] = ()
    without: frozenset[tuple[str, str, str]] = frozenset()

    def had(self, activity: str) -> tuple[Had, ...]:
        """Return what was had of an activity, in order."""
        return tuple(one for one in self.past.had if one.activity == activity)

    def lately(self, activity: str) -> tuple[Had, ...]:
        """Return what the last day that had this activity held of it."""
        had = self.had(activity)
        return tuple(one for one in had if one.day == had[-1].day)

    def sized(self, item: Item) -> Item:
        """Return an item with its beats, its count-in and its rest."""
        beats, bar = self.measure(item)
        count_in, rest = bar * self.template.count_in, self.template.rest
        return replace(item, beats=beats, count_in=count_in, rest=rest)

    def in_turn(self, activity: str, field: str, whole: Sequence[str]) -> list[str]:
        """Return names in the order to choose from, as their round stands; see `choices`."""
        had = [getattr(one, field) for one in self.had(activity)]
        last = {getattr(one, field) for one in self.lately(activity)}
        return choices(had, whole, f"{self.player} {activity} {field}", last)

    def positions(self, activity: str, whole: Sequence[int]) -> list[int]:
        """Return positions in the order to choose from."""
        had = [one.position for one in self.had(activity) if one.position is not None]
        last = {one.position for one in self.lately(activity) if one.position is not None}
        return choices(had, whole, f"{self.player} {activity} position", last)


@dataclass(frozen=True, slots=True)
class Slot:
    """A place in the day.

    Parameters
    ----------
    target : Fraction
        Seconds that it should have.
    sizes : tuple of tuple of Item
        At least one, the shortest first; an item alone, or the turns that it comes in.
    """

    target: Fraction
    sizes: tuple[tuple[Item, ...], ...]

    @property
    def activity(self) -> str:
        """Of its items, whatever its size."""
        return self.sizes[0][0].activity


def seconds(items: Iterable[Item]) -> Fraction:
    """Return how long items last together."""
    return sum((item.seconds for item in items), Fraction(0))


def in_sizes(items: Iterable[Item], target: Fraction) -> tuple[tuple[Item, ...], ...]:
    """Return items of growing length as far as a slot can use them, the first one always."""
    first, *others = sorted(items, key=lambda item: item.seconds)
    usable = (first, *(one for one in others if one.seconds <= target * FARTHEST))
    return tuple((item,) for item in usable)


def in_rounds(item: Item, target: Fraction) -> tuple[tuple[Item, ...], ...]:
    """Return an item played once, twice, and so on, as far as a slot can use it."""
    once = item.beats * 60 / item.tempo
    most = max(1, int(target * FARTHEST / once))
    return in_sizes((replace(item, rounds=rounds) for rounds in range(1, most + 1)), target)


def in_more_rounds(
    sizes: tuple[tuple[Item, ...], ...], target: Fraction
) -> tuple[tuple[Item, ...], ...]:
    """Return sizes with the longest item of them played again and again after it."""
    (longest,) = sizes[-1]
    return (*sizes, *in_rounds(longest, target)[1:])
