"""The cadences of the changes alone, to drill any kind of line over each ii-V-I.

Conventions: `chartkit.study.cadences` tells what a cadence is; turnarounds and half cadences are
left out, for their V is part of the cadence that they lead to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from chartkit.errors import CannotPlay
from chartkit.harmony import Span
from chartkit.study.cadence_rows import HALF, TURNAROUND
from chartkit.study.report import report


def cadences_alone(spans: Sequence[Span]) -> tuple[Span, ...]:
    """Return the spans with N.C. wherever no cadence is; their end leads into their beginning.

    Raises
    ------
    CannotPlay
        There is no cadence.
    """
    found = report(spans, loop=True).cadences
    kept = {index for one in found if one.name not in (HALF, TURNAROUND) for index in one.spans}
    if not kept:
        raise CannotPlay("there is no cadence here to drill; take in more of the tune")
    return tuple(
        span if index in kept else replace(span, chord=None, scale=None)
        for index, span in enumerate(spans)
    )
