"""A size for each slot, so that the day fills its time and never goes over it.

Conventions: seconds, exact. Each slot begins at the longest size that is not over its share. While
the day is too long, what is furthest over its share becomes shorter; if all is at its shortest, a
slot is left out: of those that may be, the one whose turn it is. Then what is furthest under its
share becomes longer as long as anything fits; and if too much is left, two slots exchange time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import permutations
from typing import Final

from chartkit.practice.day import FARTHEST, Slot, seconds
from chartkit.practice.item import Item

STRETCH: Final = Fraction(8, 5)
"""An item is at most so many times as long as its share, unless nothing else fills the day."""

NEAR: Final = Fraction(97, 100)
"""A day is filled so far at least, where whole times round allow."""


def fitted(
    slots: Sequence[Slot], budget: Fraction, leave_out: Sequence[str]
) -> tuple[tuple[Item, ...], ...]:
    """Return a size of each slot that the day has room for.

    Parameters
    ----------
    slots : sequence of Slot
        In the order of the day.
    budget : Fraction
        Seconds.
    leave_out : sequence of str
        Activities in the order in which they are left out where there is no time for all.
    """
    kept = list(slots)
    while kept and sum(seconds(slot.sizes[0]) for slot in kept) > budget:
        kept.remove(_least_needed(kept, leave_out))
    sizes = [_at_target(slot) for slot in kept]
    while _total(kept, sizes) > budget:
        smaller = [n for n, size in enumerate(sizes) if size]
        worst = max(smaller, key=lambda n: _share(kept[n], sizes[n]))
        sizes[worst] -= 1
    for stretch in (STRETCH, FARTHEST):
        _fill([_up_to(slot, stretch) for slot in kept], sizes, budget)
        if _total(kept, sizes) >= budget * NEAR:
            break
    return tuple(slot.sizes[size] for slot, size in zip(kept, sizes, strict=True))


def _up_to(slot: Slot, stretch: Fraction | int) -> Slot:
    """Return a slot without the sizes that are so many times as long as its share."""
    first, *others = slot.sizes
    usable = (size for size in others if seconds(size) <= slot.target * stretch)
    return replace(slot, sizes=(first, *usable))


def _fill(slots: Sequence[Slot], sizes: list[int], budget: Fraction) -> None:
    """Make slots longer as long as anything fits, and then let them exchange time."""
    while True:
        left = budget - _total(slots, sizes)
        larger = [n for n, slot in enumerate(slots) if _step(slot, sizes[n], left)]
        if not larger:
            break
        sizes[min(larger, key=lambda n: _share(slots[n], sizes[n]))] += 1
    while _total(slots, sizes) < budget * NEAR and _exchanged(slots, sizes, budget):
        pass


def _exchanged(slots: Sequence[Slot], sizes: list[int], budget: Fraction) -> bool:
    """Make one slot shorter and another longer where that fills more of the time; tell if so."""
    now = _total(slots, sizes)
    best, change = now, None
    for less, more in permutations(range(len(slots)), 2):
        for size in range(sizes[less]):
            fewer = now - seconds(slots[less].sizes[sizes[less]]) + seconds(slots[less].sizes[size])
            for longer in range(sizes[more] + 1, len(slots[more].sizes)):
                gained = seconds(slots[more].sizes[longer]) - seconds(
                    slots[more].sizes[sizes[more]]
                )
                if best < fewer + gained <= budget:
                    best, change = fewer + gained, (less, size, more, longer)
    if change is None:
        return False
    less, size, more, longer = change
    sizes[less], sizes[more] = size, longer
    return True


def _at_target(slot: Slot) -> int:
    under = [n for n, items in enumerate(slot.sizes) if seconds(items) <= slot.target]
    return under[-1] if under else 0


def _share(slot: Slot, size: int) -> Fraction:
    return seconds(slot.sizes[size]) / slot.target


def _step(slot: Slot, size: int, left: Fraction) -> bool:
    """Tell whether a slot's next size fits into what is left."""
    if size + 1 == len(slot.sizes):
        return False
    return seconds(slot.sizes[size + 1]) - seconds(slot.sizes[size]) <= left


def _total(slots: Sequence[Slot], sizes: Sequence[int]) -> Fraction:
    pairs = zip(slots, sizes, strict=True)
    return sum((seconds(slot.sizes[size]) for slot, size in pairs), Fraction(0))


def _least_needed(slots: Sequence[Slot], leave_out: Sequence[str]) -> Slot:
    """Return the slot to leave out: the last of an activity that has several, else by turn."""
    by_activity: dict[str, list[Slot]] = {}
    for slot in slots:
        by_activity.setdefault(slot.activity, []).append(slot)
    several = [own for own in by_activity.values() if len(own) > 1]
    if several:
        return max(several, key=len)[-1]
    for activity in leave_out:
        if activity in by_activity:
            return by_activity[activity][0]
    return slots[-1]
