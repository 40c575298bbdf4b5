"""Simile signs: the bars that stand for the one or two bars before them.

Conventions: a simile copies the bars as written, pushes and stops included. A two-bar simile is one
written cell and becomes two bars with their own numbers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from chartkit.chart import Bar, Change, Section, Simile, Slot
from chartkit.errors import CannotPlay


def spelled_out(section: Section) -> tuple[Bar, ...]:
    """Return a section's bars, each simile replaced by the one or two bars it stands for.

    Raises
    ------
    CannotPlay
        There are not so many bars before it in the section.
    """
    bars: list[Bar] = []
    for bar in section.bars:
        first = bar.slots[0]
        if not isinstance(first, Simile):
            bars.append(bar)
        elif len(bars) >= first.bars:
            bars.extend(_copies(bar, [old.slots for old in bars[-first.bars :]]))
        else:
            raise CannotPlay(f"bar {bar.number} repeats bars that [{section.label}] does not have")
    return tuple(bars)


def _copies(simile: Bar, copied: Sequence[tuple[Slot, ...]]) -> Iterator[Bar]:
    """Yield a simile's bars; words over the copied chords do not come again.

    What stands at the sign's left belongs to the first bar, what stands at its right to the last.
    """
    for at, slots in enumerate(copied):
        first, last = at == 0, at == len(copied) - 1
        yield Bar(
            number=simile.number + at,
            slots=tuple(replace(s, text=None) if isinstance(s, Change) else s for s in slots),
            left=simile.left if first else "|",
            right=simile.right if last else "|",
            ending=simile.ending if first else (),
            times=simile.times if last else None,
            marks=tuple(m for m in simile.marks if (first if m.sign.at_start else last)),
            meter=simile.meter if first else None,
        )
