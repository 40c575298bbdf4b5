"""What the chord player plays on: the instruments, and what the hand has on each.

Conventions: programs are General MIDI's, from 0. A guitarist's voicing has a real shape, a string
and a fret for each voice and fingers to hold it; a pianist's lies within one hand's span. What is
usual on each is common practice, no source; a feel's file may say otherwise (``voicings`` in its
``comping``).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Final, TypeAlias

from chartkit.feel import feel, patterns
from chartkit.guitar.grasp import grasp
from chartkit.guitar.shape import shapes
from chartkit.harmony import Span
from chartkit.take import ChordsOn
from chartkit.theory.families import Family
from chartkit.theory.voicing import is_playable

Pitches: TypeAlias = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Hand:
    """A chord instrument.

    Parameters
    ----------
    name : str
    program : int
        What it sounds like, unless a feel asks for another of its kind.
    kind : range
        The programs of its kind.
    holds : callable
        Tells whether the hand has rising pitches at once.
    usual : tuple of str
        The families of voicings that are played on it for choice.
    """

    name: ChordsOn
    program: int
    kind: range
    holds: Callable[[Pitches], bool]
    usual: tuple[Family, ...]

    def families(self, span: Span) -> tuple[Family, ...]:
        """Return what is usual on it in the feel of a span."""
        own = patterns(span.feel)["comping"].get("voicings", {})
        return tuple(own.get(self.name, self.usual))


@cache
def is_held(pitches: Pitches) -> bool:
    """Tell whether a guitarist's hand has rising pitches at once: a shape, and fingers for it.

    >>> is_held((51, 57, 62, 67)), is_held((48, 49, 50, 51))
    (True, False)
    """
    return any(grasp(shape) for shape in shapes(pitches))


HANDS: Final[dict[ChordsOn, Hand]] = {
    row.name: row
    for row in (
        #    name   program  its kind     holds       usual
        Hand("guitar", 26, range(24, 32), is_held, ("drop 2", "rootless")),
        Hand("piano", 0, range(24), is_playable, ("rootless", "quartal")),
    )
}
"""The chord instruments by name; what is below the guitars, keyboards and mallets, is played as a
piano is."""


def hand_of(name: str, asked: ChordsOn | None) -> tuple[Hand, int]:
    """Return the instrument that plays the chords, and its program.

    One player plays one instrument throughout.

    Parameters
    ----------
    name : str
        The feel that it begins in.
    asked : str or None
        A name of `HANDS`; None for the feel's own.
    """
    program = feel(name).chords_program
    own = next(hand for hand in HANDS.values() if program in hand.kind)
    if asked is None or asked == own.name:
        return own, program
    return HANDS[asked], HANDS[asked].program
