"""Rhythm motifs: the onsets stay bar after bar, and the pitches follow the changes.

Conventions: a motif is written as its bars, a character for each note value: ``x`` starts a note,
``-`` holds it, ``.`` is silent. A bar longer than its row goes through the row again, a shorter one
breaks off, and no note goes over a bar line. A motif has one form for beats divided in two and one
for beats divided in three. A pickup takes the end of its bar. The motifs are this project's own.

The pitches are chord tones, travelled through as `chartkit.exercise.travel` has it. A note that is
held into another chord belongs to the one under which it sounds longest, of two alike to the later:
it comes before its chord as a singer would have it. Over N.C. nothing starts, and what sounds
before it ends there.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import cycle, groupby, islice, takewhile
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.exercise.slots import Slot, quarters, resting
from chartkit.exercise.terms import Terms
from chartkit.exercise.tone_sets import first_role, tone_sets
from chartkit.exercise.tones import line_tones
from chartkit.exercise.travel import travel
from chartkit.harmony import Span
from chartkit.line import Line


@dataclass(frozen=True, slots=True)
class Motif:
    """A rhythm by its bars, for beats divided in two and in three."""

    name: str
    in_two: tuple[str, ...]
    in_three: tuple[str, ...]


MOTIFS: Final = {
    motif.name: motif
    for motif in (
        Motif("steady", ("x-xx",), ("x--xxx",)),
        Motif("syncopated", ("xx-x",), ("xx-",)),
        Motif("off-beats", (".x.x",), ("..x",)),
        Motif("cross-rhythm", ("x--x--x-",), ("x-x-x-",)),
        Motif("late-start", (".xxxx---",), (".xxxx----...",)),
        Motif("every-other-bar", ("x-xx-xx-", "........"), ("x-xx-xx-xx--", "............")),
    )
}
"""Every motif by its name."""

_USUAL: Final = "steady"
_NOTE: Final = re.compile("x-*")


def motif(spans: Sequence[Span], terms: Terms) -> Line:
    """Return a motif carried through some changes; options `motif` and `tones`.

    Raises
    ------
    CannotPlay
        A chord has fewer than two tones in the range or lacks one that is asked for, or the note
        value does not fill a bar.
    """
    sets = tone_sets(spans, terms.options.tones or "sevenths")
    slots = tuple(_slots(spans, MOTIFS[terms.options.motif or _USUAL], terms.value))
    choices = (line_tones(s.span, s.chord, sets[s.span.start], terms) for s in slots)
    tones = travel(choices, terms.start, upward=terms.upward, role=first_role(sets))
    return resting((s.note(tone) for s, tone in zip(slots, tones, strict=True)), spans)


def _slots(spans: Sequence[Span], motif: Motif, value: Fraction) -> Iterator[Slot]:
    bars = [tuple(bar) for _, bar in groupby(spans, key=lambda span: span.bar_start)]
    first = -1 if bars[0][0].start < 0 else 0
    for number, bar in enumerate(bars, first):
        meter = bar[0].meter
        rows = motif.in_three if (meter.unit / value).numerator % 3 == 0 else motif.in_two
        yield from _bar(bar, rows[number % len(rows)], value)


def _bar(bar: Sequence[Span], row: str, value: Fraction) -> Iterator[Slot]:
    """Yield the slots of one bar; in a short one those that begin in it."""
    length, end = bar[0].meter.length, bar[-1].start + bar[-1].length
    units = length / value
    if units.denominator != 1:
        raise CannotPlay(
            f"bar {bar[0].bar.number}: {quarters(length)} are not filled by notes of "
            f"{quarters(value)}; choose another note value"
        )
    for note in _NOTE.finditer("".join(islice(cycle(row), units.numerator))):
        start = end - length + note.start() * value
        if start >= bar[0].start:
            yield from _slot(bar, start, end - length + note.end() * value)


def _slot(bar: Sequence[Span], start: Fraction, end: Fraction) -> Iterator[Slot]:
    """Yield the slot of a note, unless it would start over N.C."""
    under = [span for span in bar if span.start < end and start < span.start + span.length]
    sounding = tuple(takewhile(lambda span: span.chord is not None, under))
    if sounding:
        end = min(end, sounding[-1].start + sounding[-1].length)
        own = max(sounding, key=lambda span: (_overlap(span, start, end), span.start))
        assert own.chord
        yield Slot(start, end - start, own, own.chord)


def _overlap(span: Span, start: Fraction, end: Fraction) -> Fraction:
    return min(end, span.start + span.length) - max(start, span.start)
