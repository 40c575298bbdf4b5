"""Beams over notes shorter than a quarter.

Conventions: in four beats eighths are beamed by halves of the measure, in three by the whole of
it; where anything shorter or a triplet stands in the group, by the beat. A rest or a longer note
ends a beam. Source: Gould, Behind Bars (2011), "Beaming", from memory.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import groupby
from typing import Final

from chartkit.chart import Meter
from chartkit.notate.sheet import Beam, Event

EIGHTH: Final = Fraction(1, 2)

GROUPS: Final[dict[int, tuple[int, ...]]] = {
    2: (2,),
    3: (3,),
    4: (2, 2),
    5: (3, 2),
    6: (3, 3),
    7: (4, 3),
}
"""Beats of a measure in groups that plain eighths are beamed by, where the beat is a quarter."""


def beamed(events: tuple[Event, ...], meter: Meter, shift: Fraction) -> tuple[Event, ...]:
    """Return the events of one measure with their beams.

    Parameters
    ----------
    events : tuple of Event
    meter : Meter
    shift : Fraction
        Where the measure's first event stands in a full measure (above 0 in a pickup).
    """
    groups = _groups(events, meter, shift)
    return tuple(
        event
        for _, joined in groupby(range(len(events)), key=groups.__getitem__)
        for event in _join(tuple(events[n] for n in joined))
    )


def _groups(events: tuple[Event, ...], meter: Meter, shift: Fraction) -> list[tuple[int, int]]:
    """Give each event a key; neighbours with the same key share a beam."""
    windows = [_window(event.start + shift, meter) for event in events]
    shorts = [(w, e) for w, e in zip(windows, events, strict=True) if _short(e)]
    plain = {w: all(_plain(e) for other, e in shorts if other == w) for w in set(windows)}
    return [
        (window, 0 if plain[window] else int((event.start + shift) // meter.unit))
        if _short(event)
        else (-1, n)
        for n, (window, event) in enumerate(zip(windows, events, strict=True))
    ]


def _window(start: Fraction, meter: Meter) -> int:
    """Return which of the measure's groups of beats a point lies in, from 0."""
    beats = GROUPS.get(meter.beats, ()) if meter.unit == 1 else ()
    beat = int(start // meter.unit)
    ends = [sum(beats[: n + 1]) for n in range(len(beats))]
    return next((n for n, end in enumerate(ends) if beat < end), beat)


def _short(event: Event) -> bool:
    return event.kind in ("note", "hit") and event.value.base <= EIGHTH


def _plain(event: Event) -> bool:
    return event.value.base == EIGHTH and not event.value.dots and not event.value.tuplet


def _join(events: tuple[Event, ...]) -> tuple[Event, ...]:
    """Put one group under beams; a lone event keeps its flags."""
    if len(events) == 1:
        return events
    counts = [_flags(event) for event in events]
    return tuple(
        replace(event, beams=tuple(_beam(counts, n, level) for level in range(1, counts[n] + 1)))
        for n, event in enumerate(events)
    )


def _flags(event: Event) -> int:
    """Count the flags the event would have alone."""
    return (EIGHTH / event.value.base).numerator.bit_length()


def _beam(counts: list[int], n: int, level: int) -> Beam:
    """Return the part of one beam that the n-th of a group carries."""
    before = n > 0 and counts[n - 1] >= level
    after = n + 1 < len(counts) and counts[n + 1] >= level
    if before and after:
        return "continue"
    if before or after:
        return "end" if before else "begin"
    return "backward hook" if n else "forward hook"
