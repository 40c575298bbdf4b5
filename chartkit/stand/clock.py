"""When what sounds: the bars, beats and chords of a performance, in seconds of its stems.

Conventions: seconds from the stems' first frame, so that a count-in lies before `Clock.start`. A
bar of the sound is found on the page by its `chartkit.form.BarId` and the order of both: where the
page has a bar several times (an exercise over a repeat), the next one is meant. Where the sound
was made from a part of the tune as a tune of its own, bars are found by their numbers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from chartkit.chart import Meter
from chartkit.form import BarId
from chartkit.output.events import piece
from chartkit.track import Performance


@dataclass(frozen=True, slots=True)
class Timed:
    """Something that lasts: a bar's id (empty where the page has no such bar) or a chord."""

    what: str
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Clock:
    """The times of a performance's stems.

    Parameters
    ----------
    start, end : int
        Frames at which beat zero sounds and at which a loop goes back to it, or the last bar ends.
    bars, chords : tuple of Timed
        In the order they sound; among the chords the scales where there are none.
    beats, count_in : tuple of float
        Seconds.
    """

    start: int
    end: int
    bars: tuple[Timed, ...]
    chords: tuple[Timed, ...]
    beats: tuple[float, ...]
    count_in: tuple[float, ...]


Pages = Sequence[tuple[Fraction, Sequence[tuple[BarId, str]]]]
"""From which beat on which page is read: the bars of each in order, with their ids."""


def clock(
    performance: Performance,
    pages: Pages,
    rate: int,
    scales: Sequence[tuple[Fraction, str]] = (),
) -> Clock:
    """Return the times of a performance that is once round.

    Parameters
    ----------
    performance : Performance
    pages : sequence of (Fraction, bars)
        In order of beat; the first is read from the beginning.
    rate : int
        Frames a second of the stems.
    scales : sequence of (Fraction, str)
        From which beat on there is which scale, until a chord comes.
    """
    music = piece(performance, rate)
    seconds = performance.tempo.seconds
    zero = round(-seconds(performance.start) * rate)

    def at(beat: Fraction) -> float:
        return max(0.0, float(seconds(beat)) + zero / rate)  # not half a frame before it all

    starts = [start for start, _ in performance.bars]
    ends = [*starts[1:], performance.length] if starts else []
    names = _names(performance.bars, pages)
    return Clock(
        start=zero,
        end=music.before + music.ends[-1] if performance.loop else music.frames,
        bars=tuple(
            Timed(name, at(a), at(b)) for name, a, b in zip(names, starts, ends, strict=True)
        ),
        chords=tuple(
            Timed(what, at(start), at(end)) for what, start, end in _shown(performance, scales)
        ),
        beats=tuple(at(beat) for beat in _beats(performance, starts, ends)),
        count_in=tuple(
            at(note.start)
            for track in performance.tracks
            for note in track.notes
            if track.part == "click" and note.start < 0
        ),
    )


def _shown(
    performance: Performance, scales: Sequence[tuple[Fraction, str]]
) -> Iterator[tuple[str, Fraction, Fraction]]:
    """Yield each chord and scale from its beat to the next one's; of two at once the chord."""
    chords = [(one.start, one.text) for one in performance.markers if one.kind == "chord"]
    every = sorted([*scales, *chords], key=lambda one: one[0])
    ends = [*(start for start, _ in every[1:]), performance.length]
    for (start, what), end in zip(every, ends, strict=False):
        if start < end:
            yield what, start, end


def _names(played: Sequence[tuple[Fraction, BarId]], pages: Pages) -> Iterator[str]:
    """Yield the id of each played bar on the page that is read then, or an empty one."""
    ends: list[Fraction | None] = [*(start for start, _ in pages[1:]), None]
    turn, place = 0, -1
    for start, bar in played:
        while (end := ends[turn]) is not None and start >= end:
            turn, place = turn + 1, -1
        page = pages[turn][1]
        order = [(place + step) % len(page) for step in range(1, len(page) + 1)]
        same = (n for n in order if page[n][0] == bar)
        number = (n for n in order if bar.number and page[n][0].number == bar.number)
        found = next(same, None)
        found = next(number, None) if found is None else found
        place = place if found is None else found
        yield "" if found is None else page[found][1]


def _beats(
    performance: Performance, starts: Sequence[Fraction], ends: Sequence[Fraction]
) -> Iterator[Fraction]:
    """Yield every beat of every bar, counted from the bar's own first one."""
    for start, end in zip(starts, ends, strict=True):
        unit = _meter(performance, start).unit
        beat = start
        while beat < end:
            yield beat
            beat += unit


def _meter(performance: Performance, at: Fraction) -> Meter:
    """Return the meter at a beat; the first one holds for all before it."""
    changes = performance.meters
    for (_, meter), (until, _) in pairwise(changes):
        if at < until:
            return meter
    return changes[-1][1]
