"""What there is of a tune to ask for: its sections, and the joins between them.

Conventions: a part's name is that of `chartkit.practice.entry`: "A" is a section, "A>B" a join, the
last two bars of the one with the first two of the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from chartkit.chart import Chart
from chartkit.form import body
from chartkit.make_today.parts import part_take
from chartkit.practice.growth import JOIN
from chartkit.take import Take


def parts_of(chart: Chart) -> tuple[str, ...]:
    """Return a tune's sections as printed, then its joins as they come up in a loop of the form."""
    played = body(chart).labels
    joins = dict.fromkeys(pairwise((*played, played[0]))) if played else {}
    labels = tuple(section.label for section in chart.sections)
    return (*labels, *(f"{one}{JOIN}{two}" for one, two in joins))


def part_of(take: Take, parts: Sequence[str]) -> Take:
    """Return a take of these sections, one after the other, or of one join.

    Raises
    ------
    RequestError
        There is no such join.
    """
    if len(parts) == 1 and JOIN in parts[0]:
        return replace(take, chart=part_take(take.chart, parts[0]).chart, sections=())
    return replace(take, sections=tuple(parts))


def words_of(part: str) -> str:
    """Return a part as it is said.

    >>> words_of("A>B")
    'A to B'
    """
    return part.replace(JOIN, " to ")
