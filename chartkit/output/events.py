"""A performance as notes in sample frames.

Conventions: a stretch of music has its own frame 0 and its notes begin at whole blocks from it
(`chartkit.output.player.BLOCK` frames), the nearest to their exact time: at most 0.73 ms off at
44,100 frames a second. Times come from the exact tempo, not from a MIDI file's whole microseconds,
which would drift.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from chartkit.output.player import BLOCK, CHANNELS
from chartkit.output.timeline import Hit, heard
from chartkit.track import GRID, Performance, TempoMap


class Strike(NamedTuple):
    """A note in blocks: struck at the start of one, released at the start of a later one."""

    start: int
    end: int
    velocity: int
    channel: int
    key: int


@dataclass(frozen=True, slots=True)
class Stretch:
    """Notes in order over a number of frames; the last ones may be released beyond the end.

    In a cycle the end leads into the beginning: what still sounds at the end is heard there.
    """

    strikes: tuple[Strike, ...]
    frames: int
    cycle: bool = False


@dataclass(frozen=True, slots=True)
class Piece:
    """A performance in the order it is heard.

    Parameters
    ----------
    lead_in : Stretch or None
        A loop's count-in; any other music has it in its body.
    body : Stretch
        One round.
    ends : tuple of int
        The frame at which each round ends, counted from the first one's beginning: the exact times
        rounded one by one, so that many rounds do not drift.
    """

    lead_in: Stretch | None
    body: Stretch
    ends: tuple[int, ...]

    @property
    def before(self) -> int:
        """Frames of the count-in before the first round."""
        return self.lead_in.frames if self.lead_in else 0

    @property
    def frames(self) -> int:
        """All frames but those of a last decay."""
        return self.before + self.ends[-1]


def piece(performance: Performance, rate: int) -> Piece:
    """Return a performance's notes at a rate in frames a second."""
    first = performance.start if not performance.loop else Fraction(0)
    at = clock(performance.tempo, rate, first)
    lead_in = _lead_in(performance, rate) if performance.loop and performance.start < 0 else None
    seconds = performance.tempo.seconds(performance.length) - performance.tempo.seconds(first)
    ends = tuple(round(seconds * rate * number) for number in range(1, performance.rounds + 1))
    strikes: list[Strike] = []
    for track in performance.tracks:
        before, _, one_round = heard(performance, track)
        hits = one_round if performance.loop else before + one_round
        strikes.extend(_strikes(hits, CHANNELS[track.part], at))
    return Piece(lead_in, Stretch(tuple(sorted(strikes)), ends[0], cycle=performance.loop), ends)


def clock(tempo: TempoMap, rate: int, first: Fraction) -> Callable[[int], int]:
    """Return a function from a tick to the block nearest to it, counted from the beat `first`.

    In whole numbers for speed: within a tempo step, tick t lies at (offset + t * pace) / scale.
    """
    starts = [step * GRID for step, _ in tempo.steps]
    lines = [_line(tempo, rate, first, *step) for step in tempo.steps]

    def at(ticks: int) -> int:
        offset, pace, scale = lines[max(0, bisect_right(starts, ticks) - 1)]
        return (2 * (offset + ticks * pace) + scale) // (2 * scale)

    return at


def _line(
    tempo: TempoMap, rate: int, first: Fraction, start: Fraction, quarters: Fraction
) -> tuple[int, int, int]:
    """Return a tempo step's offset, pace and scale, in blocks by tick."""
    pace = Fraction(60 * rate, GRID * BLOCK) / quarters
    offset = (tempo.seconds(start) - tempo.seconds(first)) * rate / BLOCK - start * GRID * pace
    scale = offset.denominator * pace.denominator
    return int(offset * scale), int(pace * scale), scale


def _lead_in(performance: Performance, rate: int) -> Stretch:
    """Return a loop's count-in, with the notes over the seam where it leaves them room."""
    at = clock(performance.tempo, rate, performance.start)
    strikes: list[Strike] = []
    for track in performance.tracks:
        before, over, _ = heard(performance, track)
        strikes.extend(_strikes(before + over, CHANNELS[track.part], at))
    frames = round(-performance.tempo.seconds(performance.start) * rate)
    return Stretch(tuple(sorted(strike for strike in strikes if strike.start >= 0)), frames)


def _strikes(hits: Iterable[Hit], channel: int, at: Callable[[int], int]) -> Iterator[Strike]:
    """Yield hits in blocks, each at least one block long."""
    for start, end, pitch, velocity in hits:
        block = at(start)
        yield Strike(block, max(at(end), block + 1), velocity, channel, pitch)
