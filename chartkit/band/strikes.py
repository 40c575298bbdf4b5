"""When the chords of a bar are struck: a figure fitted to the changes.

Conventions: beats are quarter notes from the arrangement's beat zero. A bar takes only the strokes
that its changes allow:

- a stroke no more than an eighth before a change belongs to the chord that comes, and is left out
  where silence, a stop or the held end comes;
- a push is struck where the changes put it and not again on its beat; a stop is a hit;
- every new chord is struck, also where the figure has nothing for it; played from nothing, the
  first one is struck on its beat.

All of this is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby
from typing import Final

from chartkit.band.cues import EARLY, Cue
from chartkit.feel import Feel, feel
from chartkit.feel.figure import Stroke

ACCENT: Final = "X"

RING: Final = Fraction(3, 2)
"""How long a push may ring, in quarter notes."""

STATED: Final = Fraction(1)
"""How long a chord may ring that the figure did not provide for, in quarter notes."""


@dataclass(frozen=True, slots=True)
class Strike:
    """The hand comes down.

    Parameters
    ----------
    start, length : Fraction
        In quarter notes; a strike that rings over a loop's seam starts below zero.
    cue : int
        Index of the cue whose chord it sounds.
    accent : bool
    """

    start: Fraction
    length: Fraction
    cue: int
    accent: bool = False


@dataclass(frozen=True, slots=True)
class Context:
    """A bar and what comes after it.

    Parameters
    ----------
    cues : tuple of Cue
        Those of the bar, at least one.
    following : Cue or None
        The cue after them: round the seam in a loop, None where the music ends.
    first : int
        Index of the bar's first cue in the whole arrangement.
    opens : bool
        Nothing has been played before this bar.
    """

    cues: tuple[Cue, ...]
    following: Cue | None
    first: int
    opens: bool

    @property
    def start(self) -> Fraction:
        """The bar's first beat, in quarter notes."""
        return self.cues[0].span.start

    @property
    def length(self) -> Fraction:
        """In quarter notes; short where the held end begins within the bar."""
        last = self.cues[-1].span
        return last.start + last.length - self.start

    @property
    def feel(self) -> Feel:
        """What is played here."""
        return feel(self.cues[0].span.feel)

    @property
    def beats(self) -> int:
        """Whole beats, as the feel's figures count them."""
        return int(self.length / self.feel.pulse)

    @property
    def around(self) -> tuple[Cue, ...]:
        """The bar's cues and the one that follows."""
        return (*self.cues, self.following) if self.following else self.cues


@dataclass(frozen=True, slots=True)
class Fitted:
    """What a bar's changes make of a figure.

    Parameters
    ----------
    strikes : tuple of Strike
        In order.
    stated : int
        How many of them the figure had nothing for.
    rhythm : tuple of Fraction
        The bar's length and the onsets in it.
    """

    strikes: tuple[Strike, ...]
    stated: int
    rhythm: tuple[Fraction, ...]


def contexts(played: Sequence[Cue], *, loop: bool) -> tuple[Context, ...]:
    """Return every bar in its place, without the held end.

    Parameters
    ----------
    played : sequence of Cue
        All cues of an arrangement.
    loop : bool
        The last bar is followed by the first cue, a whole loop later.
    """
    length = played[-1].span.start + played[-1].span.length
    after = [*played[1:], _later(played[0], length) if loop else None]
    first = 0
    found = []
    for _, group in groupby(played, key=lambda cue: (cue.span.bar_start, cue.sound == "held")):
        cues = tuple(group)
        last = first + len(cues) - 1
        if cues[0].sound != "held":
            found.append(Context(cues, after[last], first, opens=not (first or loop)))
        first = last + 1
    return tuple(found)


def _later(cue: Cue, beats: Fraction) -> Cue:
    span = replace(cue.span, start=cue.span.start + beats)
    return replace(cue, span=span, start=cue.start + beats)


def fit(context: Context, strokes: Sequence[Stroke], *, begun: bool) -> Fitted:
    """Return what a bar's changes make of a figure.

    Parameters
    ----------
    context : Context
    strokes : sequence of Stroke
        In the figure's beats from the start of the bar.
    begun : bool
        The bar's first chord has been struck in the bar before.
    """
    owed = [*_owed(context)]
    taken = {strike.start for strike in owed}
    free = [strike for strike in _free(context, strokes) if strike.start not in taken]
    sounded = {strike.cue for strike in (*owed, *free)} | ({context.first} if begun else set())
    stated = [
        Strike(cue.start, STATED, index)
        for index, cue in enumerate(context.cues, context.first)
        if cue.new and cue.sound == "full" and index not in sounded
    ]
    strikes = sorted((*owed, *free, *stated), key=lambda strike: strike.start)
    onsets = (strike.start - context.start for strike in strikes)
    return Fitted(tuple(strikes), len(stated), (context.length, *onsets))


def _owed(context: Context) -> Iterator[Strike]:
    """Yield the pushes and stops that lie in the bar, and the very first chord of all."""
    for index, cue in enumerate(context.around, context.first):
        within = 0 <= cue.start - context.start < context.length
        if within and cue.sound == "hit":
            yield Strike(cue.start, EARLY, index, accent=True)
        elif within and cue.sound == "full" and (cue.pushed or (context.opens and index == 0)):
            yield Strike(cue.start, RING, index, accent=True)


def _free(context: Context, strokes: Sequence[Stroke]) -> Iterator[Strike]:
    """Yield the figure's strokes that the changes leave room for."""
    around, pulse = context.around, context.feel.pulse
    for stroke in strokes:
        start = context.start + stroke.start * pulse
        place = _owner(around, start)
        if place is not None:
            accent = stroke.mark == ACCENT
            yield Strike(start, stroke.length * pulse, context.first + place, accent)


def _owner(around: Sequence[Cue], start: Fraction) -> int | None:
    """Return which of these cues a stroke sounds; None where it is left out."""
    place = max((k for k, cue in enumerate(around) if cue.start <= start), default=0)
    cue = around[place]
    if cue.sound != "full" or (cue.pushed and start <= cue.span.start):
        return None
    comes = around[place + 1] if place + 1 < len(around) else None
    if comes is None or comes.span.start - start > EARLY:
        return place
    return place + 1 if comes.sound == "full" else None
