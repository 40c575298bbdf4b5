"""Where the hand may stand for each note if it is to shift as seldom as can be.

Conventions: a layer is the set of positions from which a note can be played. Moving between any
two positions is one shift, however far.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

Counts = tuple[dict[int, int], ...]
"""For each note, the fewest shifts by the position it is played in."""


@dataclass(frozen=True, slots=True)
class FewestShifts:
    """The positions and moves of all ways through a line with the fewest shifts.

    Parameters
    ----------
    total : int
        That fewest number.
    before, after : tuple of dict
        The fewest shifts up to each note, and from it to the end, by position.
    """

    total: int
    before: Counts
    after: Counts

    def keeps(self, number: int, position: int) -> bool:
        """Tell whether a note may be played in a position."""
        return self.before[number][position] + self.after[number][position] == self.total

    def allows(self, number: int, last: int, position: int) -> bool:
        """Tell whether the hand may go from a position into that of the note of this number."""
        moved = last != position
        return self.before[number - 1][last] + moved + self.after[number][position] == self.total


def fewest_shifts(layers: Sequence[AbstractSet[int]]) -> FewestShifts:
    """Return all ways with the fewest shifts; every layer has at least one position."""
    before = _counts(layers)
    after = tuple(reversed(_counts(reversed(layers))))
    return FewestShifts(min(before[-1].values()), before, after)


def _counts(layers: Iterable[AbstractSet[int]]) -> Counts:
    counts: list[dict[int, int]] = []
    for layer in layers:
        last = counts[-1] if counts else dict.fromkeys(layer, 0)
        shifted = min(last.values()) + 1
        counts.append({position: last.get(position, shifted) for position in layer})
    return tuple(counts)
