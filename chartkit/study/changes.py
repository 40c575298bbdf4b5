"""What moves and what stays from each chord to the next.

Conventions: common tones are tones of the written symbols, tensions included, slash basses not. A
guide tone moves to the nearest guide tone of the next chord; of two equally near, to the lower one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from chartkit.harmony import Span
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree, NoteName


@dataclass(frozen=True, slots=True)
class Movement:
    """A tone's way to another: semitones up, or down below zero."""

    tone: NoteName
    to: NoteName
    semitones: int


@dataclass(frozen=True, slots=True)
class Change:
    """A change of chord.

    Parameters
    ----------
    span, to : int
        Indexes of the last span of a chord and of the span of the next one.
    common : tuple of NoteName
        Tones of both chords, as the first one spells them.
    guides : tuple of Movement
        The way of the third, then that of the seventh (or what stands for them).
    """

    span: int
    to: int
    common: tuple[NoteName, ...]
    guides: tuple[Movement, ...]


def changes(spans: Sequence[Span], *, loop: bool) -> tuple[Change, ...]:
    """Return every change from a chord to another one, round the seam in a loop.

    Before and after N.C. there is none.
    """
    return tuple(_changes(spans, loop=loop))


def guide_tones(chord: Chord) -> tuple[NoteName, NoteName]:
    """Return the two tones that tell a chord from another.

    They are its third (the fourth or second that stands for it) and its seventh or sixth. The root
    serves where there is no seventh, the fifth where there is no third.

    Examples
    --------
    >>> from chartkit.theory.symbol import read_symbol
    >>> [str(tone) for tone in guide_tones(read_symbol("G7").chord)]
    ['B', 'F']
    """
    low = chord.third or chord.fifth or Degree(1)
    return chord.root.up(low), chord.root.up(chord.seventh or Degree(1))


def movement(tone: NoteName, chord: Chord) -> Movement:
    """Return the way from a tone to the nearest guide tone of a chord."""
    ways = (Movement(tone, to, _nearest(tone, to)) for to in guide_tones(chord))
    return min(ways, key=lambda way: (abs(way.semitones), way.semitones))


def _changes(spans: Sequence[Span], *, loop: bool) -> Iterator[Change]:
    last = len(spans) if loop else len(spans) - 1
    for index in range(last):
        to = (index + 1) % len(spans)
        one, other = spans[index].chord, spans[to].chord
        if one and other and one != other:
            guides = tuple(movement(tone, other) for tone in guide_tones(one))
            yield Change(index, to, _common(one, other), guides)


def _common(one: Chord, other: Chord) -> tuple[NoteName, ...]:
    return tuple(tone for tone in one.tones if tone.pitch_class in other.pitch_classes)


def _nearest(tone: NoteName, to: NoteName) -> int:
    """Return the shortest way in semitones, -6 to 5: a tritone goes down."""
    return (to.pitch_class - tone.pitch_class + 6) % 12 - 6
