"""A part of a tune as a take: a section, a join, sections together, the whole form.

Conventions: the names of parts are those of `chartkit.practice.entry`. A join is a small chart of
its own: the last two bars of one section as played and the first two of the next.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import product

from chartkit.chart import Bar, Change, Chart, Section
from chartkit.errors import RequestError
from chartkit.form import PlayedBar, body, excerpt, key_of
from chartkit.practice.entry import FORM
from chartkit.practice.growth import JOIN
from chartkit.take import Take

BARS: int = 2
"""On either side of a join."""


def part_take(chart: Chart, part: str) -> Take:
    """Return a part of a tune as a take that goes round.

    Raises
    ------
    RequestError
        The tune has no such part.
    """
    labels = tuple(dict.fromkeys(body(chart).labels))
    if part == FORM:
        return Take(chart)
    if part in labels:
        return Take(chart, sections=(part,))
    for one, two in product(labels, repeat=2):
        if part == f"{one}{JOIN}{two}":
            return Take(_join(chart, one, two))
    for count in range(2, len(labels) + 1):
        if part == " ".join(labels[:count]):
            return Take(chart, sections=labels[:count])
    raise RequestError(
        f"{chart.title or 'the tune'} has no part {part}: its sections may have been renamed; "
        "ask for the day again"
    )


def _join(chart: Chart, one: str, two: str) -> Chart:
    """Return the last bars of one section and the first of another as a chart."""
    before, after = (excerpt(chart, (label,)).bars for label in (one, two))
    sections = (
        _section(one, before[-BARS:]),
        _section(f"{two} again" if one == two else two, after[:BARS]),
    )
    return replace(
        chart,
        sections=sections,
        key=key_of(chart),
        order=None,
        solos=None,
        pickup=0,
        notes=(),
        comments=(),
    )


def _section(label: str, bars: Sequence[PlayedBar]) -> Section:
    first = bars[0]
    written = tuple(_bar(bar, first) for bar in bars)
    return Section(label, written, key=first.key, meter=first.meter, feel=first.feel)


def _bar(bar: PlayedBar, first: PlayedBar) -> Bar:
    unit = bar.meter.unit
    return Bar(
        number=bar.source.number,
        slots=tuple(
            Change(
                change.chord,
                int(Fraction(change.length) / unit),
                pushed=change.pushed,
                stopped=change.stopped,
                text=change.text,
            )
            for change in bar.changes
        ),
        right="||" if bar.ends_section else "|",
        meter=bar.meter if bar.meter != first.meter else None,
    )
