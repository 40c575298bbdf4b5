"""What the band plays before the first chorus.

Conventions, all common practice without a source: the last four bars of the tune lead into its
first; a vamp goes over its last turnaround until four bars are full. The last turnaround is the
bars that end the tune in turnaround brackets; failing these, the bars of its last ii-V to the key's
own tonic; failing that too, its last two bars.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise, takewhile
from math import ceil
from typing import Final, Literal, TypeAlias

from chartkit.form import Form, PlayedBar
from chartkit.theory.chord import Chord
from chartkit.theory.chord_scale import kind
from chartkit.theory.key import Key

Intro: TypeAlias = Literal["written", "last-four", "vamp", "none"]

INTRO_BARS: Final = 4
VAMP_BARS: Final = 2
"""Bars of a vamp where nothing in the tune suggests one."""

_FOURTH, _FIFTH, _OCTAVE = 5, 7, 12


def intro_bars(form: Form, intro: Intro) -> tuple[PlayedBar, ...]:
    """Return the bars of an intro made from the end of a form, from beat zero.

    A written intro, or none, is the chart's own business: there are no bars here.

    Parameters
    ----------
    form : Form
        The tune as it goes round, its last turnaround played.
    intro : str
    """
    if intro == "last-four":
        chosen = form.bars[-INTRO_BARS:]
    elif intro == "vamp":
        once = vamp(form.bars)
        chosen = once * ceil(INTRO_BARS / len(once))
    else:
        chosen = ()
    return tuple(_in_a_row(chosen))


def vamp(bars: Sequence[PlayedBar]) -> tuple[PlayedBar, ...]:
    """Return the bars that a vamp repeats."""
    return tuple(_turnaround(bars) or _two_five(bars) or bars[-VAMP_BARS:])


def _turnaround(bars: Sequence[PlayedBar]) -> Sequence[PlayedBar]:
    """Return the last bars as far as they have chords in turnaround brackets."""

    def bracketed(bar: PlayedBar) -> bool:
        return any(change.turnaround for change in bar.changes)

    return bars[len(bars) - len([*takewhile(bracketed, reversed(bars))]) :]


def _two_five(bars: Sequence[PlayedBar]) -> Sequence[PlayedBar]:
    """Return the bars of the last ii-V to the tonic, one or two."""
    struck = [
        (number, change.chord)
        for number, bar in enumerate(bars)
        for change in bar.changes
        if change.chord and not change.held
    ]
    found = [
        bars[first : last + 1]
        for (first, two), (last, five) in pairwise(struck)
        if last <= first + 1 and _is_two_five(two, five, bars[last].key)
    ]
    return found[-1] if found else ()


def _is_two_five(two: Chord, five: Chord, key: Key) -> bool:
    fourth = (five.root.pitch_class - two.root.pitch_class) % _OCTAVE
    fifth = (five.root.pitch_class - key.tonic.pitch_class) % _OCTAVE
    kinds = kind(two) in ("minor", "half-diminished") and kind(five) == "dominant"
    return kinds and (fourth, fifth) == (_FOURTH, _FIFTH)


def _in_a_row(bars: Sequence[PlayedBar]) -> Iterator[PlayedBar]:
    """Put bars end to end as one section; a chord held from a bar that is not there is struck."""
    start = Fraction(0)
    before: PlayedBar | None = None
    for number, bar in enumerate(bars, 1):
        first, *others = bar.changes
        straight_on = before is not None and before.start + before.length == bar.start
        struck = replace(first, held=first.held and straight_on)
        last = number == len(bars)
        yield replace(bar, start=start, changes=(struck, *others), ends_section=last)
        start += bar.length
        before = bar
