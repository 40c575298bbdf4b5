"""When the chords of a bar are struck: a figure fitted to the changes.

Conventions: beats are quarter notes from the arrangement's beat zero. A bar takes only the strokes
that its changes allow:

- a stroke no more than an eighth before a change belongs to the chord that comes, and is left out
  where silence, a stop or the held end comes;
- a push is struck where the changes put it and not again on its beat; a stop is a hit;
- every new chord is struck, also where the figure has nothing for it.

All of this is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from chartkit.band.bars import Bar, bars
from chartkit.band.cues import EARLY, Cue
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
    """A bar and what is around it.

    Parameters
    ----------
    bar : Bar
    around : tuple of Cue
        The bar's cues and the one that follows: round the seam in a loop, none where the music
        ends.
    first : int
        Index of the bar's first cue in the whole arrangement.
    """

    bar: Bar
    around: tuple[Cue, ...]
    first: int


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
    after = (_later(played[0], length),) if loop else ()
    found, first = [], 0
    for bar in bars([cue for cue in played if cue.sound != "held"]):
        last = first + len(bar.cues)
        found.append(Context(bar, (*played[first : last + 1], *after)[: last - first + 1], first))
        first = last
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
        for index, cue in enumerate(context.bar.cues, context.first)
        if cue.new and cue.sound == "full" and index not in sounded
    ]
    strikes = sorted((*owed, *free, *stated), key=lambda strike: strike.start)
    onsets = (strike.start - context.bar.start for strike in strikes)
    length = context.bar.end - context.bar.start
    return Fitted(tuple(strikes), len(stated), (length, *onsets))


def _owed(context: Context) -> Iterator[Strike]:
    """Yield the pushes and stops that lie in the bar."""
    for index, cue in enumerate(context.around, context.first):
        within = context.bar.start <= cue.start < context.bar.end
        if within and cue.sound == "hit":
            yield Strike(cue.start, EARLY, index, accent=True)
        elif within and cue.sound == "full" and cue.pushed:
            yield Strike(cue.start, RING, index, accent=True)


def _free(context: Context, strokes: Sequence[Stroke]) -> Iterator[Strike]:
    """Yield the figure's strokes that the changes leave room for."""
    pulse = context.bar.pulse
    for stroke in strokes:
        start = context.bar.start + stroke.start * pulse
        place = _owner(context.around, start)
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
