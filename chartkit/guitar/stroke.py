"""The notes of a line as the hand meets them: one stroke each, however it is written."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from chartkit.errors import CannotPlay
from chartkit.guitar.cost import AT_A_REST, hurry
from chartkit.guitar.hand import Grip, Neck
from chartkit.line import Line, Tone, sounding, span_at


@dataclass(frozen=True, slots=True)
class Stroke:
    """A note to be fingered.

    Parameters
    ----------
    bar : str
        The bar it starts in, in words.
    weight : int
        Of a shift on the way to it, from `chartkit.guitar.cost.hurry`.
    grips : tuple of Grip
        Every way to play it, at least one.
    """

    bar: str
    weight: int
    grips: tuple[Grip, ...]

    @property
    def positions(self) -> frozenset[int]:
        """Where the hand may stand for it."""
        return frozenset(grip.position for grip in self.grips)


def strokes(line: Line, neck: Neck) -> tuple[Stroke, ...]:
    """Return a line's strokes, one for each of its `sounding` notes.

    Raises
    ------
    CannotPlay
        A note has no place on this part of the neck; the bar and the note are named.
    """
    tones = sounding(line)
    weights = (AT_A_REST, *(_weight(last, tone) for last, tone in pairwise(tones)))
    grips = cache(neck.grips)
    made = []
    for tone, weight in zip(tones, weights, strict=False):
        stroke = Stroke(_bar(line, tone), weight, grips(tone.pitch.midi))
        if not stroke.grips:
            raise CannotPlay(
                f"{stroke.bar}: {tone.pitch} cannot be played {neck}; choose another range"
            )
        made.append(stroke)
    return tuple(made)


def _weight(last: Tone, tone: Tone) -> int:
    return hurry(tone.start - last.start, rested=last.end < tone.start)


def _bar(line: Line, tone: Tone) -> str:
    number = span_at(line, tone.start).bar.number
    return f"bar {number}" if number else "the pickup"
