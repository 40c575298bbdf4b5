"""Blocked or mixed: each item in one go, or in two turns that go round.

Which is better is not known, so it is the player's switch. Mixed was better a day later in
Stambaugh 2011 and Carter & Grahn 2016 (n = 10), blocked in Mathias & Goldman 2025, and in applied
settings the difference was small (Czyz 2024); abstracts read, not the papers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final, Literal, TypeAlias

from chartkit.practice.day import Day, Slot, seconds
from chartkit.practice.item import PLAIN, Item

Order: TypeAlias = Literal["blocked", "mixed"]

ORDERS: Final = {
    "blocked": "each item in one go",
    "mixed": "items in two turns that go round",
}

EVIDENCE: Final = (
    "Blocked or mixed order: studies disagree (mixed better: Stambaugh 2011, Carter & Grahn 2016; "
    "blocked better: Mathias & Goldman 2025), so choose what suits you."
)

IN_TURNS: Final = ("scales", "along the neck", "arpeggios", "vocabulary")
"""What may come in two turns; between the warm-up and the solo."""


def in_turns(slot: Slot, day: Day) -> Slot:
    """Return a slot whose items come in two turns where they can be parted."""
    if slot.activity not in IN_TURNS:
        return slot
    sizes = (_turns(item, day) for size in slot.sizes for item in size)
    return replace(slot, sizes=tuple(sorted(sizes, key=seconds)))


def in_order(sizes: Sequence[Sequence[Item]]) -> tuple[Item, ...]:
    """Return the items of a day: the warm-up, all first turns, all second ones, the solo."""

    def place(item: Item) -> tuple[int, int]:
        outer = {"warm-up": 0, "solo": 2}.get(item.activity, 1)
        return outer, item.turn

    if all(len(size) == 1 for size in sizes):
        return tuple(item for size in sizes for item in size)
    return tuple(sorted((item for size in sizes for item in size), key=place))


def _turns(item: Item, day: Day) -> tuple[Item, ...]:
    """Return the two turns of an item: half of its times round, or half of its keys."""
    if item.rounds > 1:
        half = (item.rounds + 1) // 2
        return replace(item, rounds=half), replace(item, rounds=item.rounds - half, turn=2)
    if len(item.keys) < 2:  # noqa: PLR2004 (two turns)
        return (item,)
    half = (len(item.keys) + 1) // 2
    one = replace(item, keys=item.keys[:half], figured=min(half, item.figured))
    two = replace(item, keys=item.keys[half:], figured=max(0, item.figured - half), turn=2)
    return day.sized(one), day.sized(_called(two))


def _called(item: Item) -> Item:
    """Call scales that are left without their figure what they are."""
    if item.activity != "scales" or item.figured:
        return item
    return replace(item, title=f"{(item.family or '').capitalize()} scales", kind=PLAIN)
