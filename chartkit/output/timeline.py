"""When each note of a performance sounds, on the grid that MIDI and audio share.

Conventions: ticks are `chartkit.track.GRID` to the quarter note, counted from beat zero and so
negative in a count-in. In a loop a note of the band that starts before zero stands over the seam:
it is heard at the end of every time round and may ring on into the next; only clicks stand before
zero for themselves. In other music everything before zero is heard where it stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import groupby, pairwise
from operator import attrgetter
from typing import NamedTuple

from chartkit.track import GRID, Note, Performance, Track


class Hit(NamedTuple):
    """One sounding note: first tick, tick of its release, MIDI number and velocity."""

    start: int
    end: int
    pitch: int
    velocity: int


class Heard(NamedTuple):
    """A track's notes in order.

    Attributes
    ----------
    before : tuple of Hit
        Heard once, before beat zero: a count-in, a pickup.
    over : tuple of Hit
        Those over the seam as they lead into the first round.
    round : tuple of Hit
        One round; in a loop its last notes may end beyond its length, in the next time round.
    """

    before: tuple[Hit, ...]
    over: tuple[Hit, ...]
    round: tuple[Hit, ...]


def tick(beat: Fraction) -> int:
    """Return the tick nearest to a beat in quarter notes."""
    numerator, denominator = beat.numerator * GRID, beat.denominator
    return (2 * numerator + denominator) // (2 * denominator)


def heard(performance: Performance, track: Track) -> Heard:
    """Put a track's notes on the grid: none overlaps another of its pitch, none is empty."""
    length = tick(performance.length)
    hits = [_hit(note) for note in track.notes]
    early = [hit for hit in hits if hit.start < 0]
    late = [hit for hit in hits if hit.start >= 0]
    if not performance.loop or track.part == "click":
        return Heard(untangle(early), (), untangle(late))
    seam = [later(hit, length) for hit in early]
    one_round = untangle(seam + late, length)
    crossing = {(hit.start, hit.pitch) for hit in seam}
    over = tuple(later(h, -length) for h in one_round if (h.start, h.pitch) in crossing)
    return Heard((), over, one_round)


def unrolled(performance: Performance, track: Track) -> tuple[Hit, ...]:
    """Return all that a listener hears of a track from the start to the end, every round.

    The first time round a note over the seam is struck where it stands if the count-in leaves room
    for it, and at the start if not; the last one is cut at the end.
    """
    first, length = tick(performance.start), tick(performance.length)
    before, over, one_round = heard(performance, track)
    rounds = [
        later(hit, length * number) for number in range(performance.rounds) for hit in one_round
    ]
    return untangle(within([*before, *over, *rounds], first, length * performance.rounds))


def untangle(hits: Iterable[Hit], cycle: int | None = None) -> tuple[Hit, ...]:
    """Release each note by the time its pitch is struck again; of two struck at once keep one.

    Parameters
    ----------
    hits : iterable of Hit
        In any order.
    cycle : int or None
        They come round again after so many ticks.
    """
    return tuple(
        sorted(
            hit
            for _, same in groupby(sorted(hits, key=_by_pitch), key=attrgetter("pitch"))
            for hit in _one_pitch(list(same), cycle)
        )
    )


def later(hit: Hit, ticks: int) -> Hit:
    """Return a hit so many ticks later."""
    return hit._replace(start=hit.start + ticks, end=hit.end + ticks)


def within(hits: Iterable[Hit], first: int, last: int) -> Iterator[Hit]:
    """Yield hits cut to what lies between two ticks."""
    for hit in hits:
        start, end = max(hit.start, first), min(hit.end, last)
        if start < end:
            yield hit._replace(start=start, end=end)


def _one_pitch(hits: list[Hit], cycle: int | None) -> Iterator[Hit]:
    """Yield hits of one pitch, in order, without overlaps; the loudest of those struck at once."""
    struck = {hit.start: hit for hit in hits}
    apart = list(struck.values())
    if cycle is not None:
        apart.append(later(apart[0], cycle))
        yield from (_released(hit, after.start) for hit, after in pairwise(apart))
        return
    yield from (_released(hit, after.start) for hit, after in pairwise(apart))
    yield apart[-1]


def _hit(note: Note) -> Hit:
    start, end = tick(note.start), tick(note.start + note.length)
    return Hit(start, max(end, start + 1), note.pitch, note.velocity)


def _released(hit: Hit, at: int) -> Hit:
    return hit if hit.end <= at else hit._replace(end=at)


def _by_pitch(hit: Hit) -> tuple[int, int, int, int]:
    """Order by pitch, then by start, the loudest of those struck at once last."""
    return hit.pitch, hit.start, hit.velocity, hit.end
