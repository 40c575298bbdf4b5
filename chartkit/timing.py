"""From straight written time to swung, human time, once and for all outputs.

Conventions: beats are quarter notes; what comes out lies on the `GRID` of 1/960. The off-beats of
feels that swing come late, by a ratio of each part (`chartkit.swing`). Then every onset of a part
is moved by chance, never more than `FURTHEST` seconds, and each by itself, so that nothing drifts
from the beat: notes struck together stay together, the order of onsets is kept, and no note
crosses beat zero or the end. Chance is seeded for each part, so that leaving one out changes no
other.
"""

from __future__ import annotations

import random
from bisect import bisect_left, bisect_right
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Final, NamedTuple

from chartkit.arrange import Arrangement
from chartkit.feel import FEELS
from chartkit.swing import ratio, swung, swung_end
from chartkit.track import GRID, Note, Part, Performance, TempoMap, Track

SPREAD: Final[dict[Part, float]] = {
    "bass": 0.006,
    "chords": 0.007,
    "drums": 0.004,
    "line": 0.005,
    "click": 0.0,
}
"""Standard deviation of an onset, in seconds [common practice, no source; at most 8 ms]."""

FURTHEST: Final = 0.018
"""Seconds that an onset is moved at most; with the grid's rounding it stays within 20 ms."""

SOFTEST: Final = 1
LOUDEST: Final = 127
"""The velocities of MIDI that sound."""

APART: Final = 3
"""An onset is moved by at most one such part of the time to its neighbours."""


def perform(arrangement: Arrangement, tracks: tuple[Track, ...], seed: int) -> Performance:
    """Return the performance of what the players play.

    Parameters
    ----------
    arrangement : Arrangement
    tracks : tuple of Track
        In straight time; one key struck twice at once counts as one note.
    seed : int
        The same seed gives the same performance.

    Returns
    -------
    Performance
        On the grid. Lengths are above zero, no two notes of one pitch in a part overlap, notes that
        did not overlap as written do not overlap, and no two neighbours in a part have equal
        velocity. In a loop this holds round the seam.
    """
    last = arrangement.passes[-1]
    length = last.start + last.length + sum((s.length for s in arrangement.tail), Fraction(0))
    pickup = -arrangement.lead_in[0].start if arrangement.lead_in else Fraction(0)
    first = -max(arrangement.count_in, pickup)
    stage = _Stage(first, length, arrangement.loop, arrangement.tempo, _feels(arrangement))
    return Performance(
        tracks=tuple(_performed(track, stage, seed) for track in tracks),
        tempo=arrangement.tempo,
        meters=arrangement.meters,
        keys=arrangement.keys,
        markers=arrangement.markers,
        start=first,
        length=length,
        loop=arrangement.loop,
        rounds=arrangement.rounds,
        title=arrangement.title,
    )


@dataclass(frozen=True, slots=True)
class _Stage:
    """What all parts share.

    Parameters
    ----------
    first, length : Fraction
        The first and the last beat of all.
    loop : bool
    tempo : TempoMap
    feels : tuple of (Fraction, bool)
        From which beat on there is swing or none.
    """

    first: Fraction
    length: Fraction
    loop: bool
    tempo: TempoMap
    feels: tuple[tuple[Fraction, bool], ...]

    @property
    def end(self) -> int:
        """The tick on which all ends."""
        return int(self.length * GRID)

    def kept(self, onset: int, tick: int) -> int:
        """Return the tick, or the nearest one on the onset's own side of zero and of the ends."""
        if onset >= 0:
            return max(0, min(self.end - 1, tick))
        return max(-self.end if self.loop else int(self.first * GRID), min(-1, tick))

    def swings(self, at: Fraction) -> bool:
        """Tell whether there is swing at a beat; before zero a loop is as at its end."""
        if len(self.feels) == 1:
            return self.feels[0][1]
        if at < 0 and self.loop:
            at += self.length
        after = bisect_right(self.feels, at, key=lambda change: change[0])
        return self.feels[max(0, after - 1)][1]


def _feels(arrangement: Arrangement) -> tuple[tuple[Fraction, bool], ...]:
    spans = (*arrangement.lead_in, *arrangement.spans, *arrangement.tail)
    swing = [(span.start, FEELS[span.feel].off_beat == "swing") for span in spans]
    return (swing[0], *(new for old, new in pairwise(swing) if old[1] != new[1]))


class _Hit(NamedTuple):
    """A note on its way, in ticks."""

    start: int
    pitch: int
    end: int
    velocity: int


def _performed(track: Track, stage: _Stage, seed: int) -> Track:
    """Swing a part, move its onsets by chance, and tidy what that did to ends and velocities."""
    rng = random.Random(f"{seed} {track.part} timing")
    swung_hits = _merged(_swung(note, track.part, stage) for note in track.notes)
    onsets = sorted({hit.start for hit in swung_hits})
    played = dict(zip(onsets, _human(onsets, track.part, stage, rng), strict=True))
    if stage.loop:  # a push over the seam is struck again when the loop comes round
        over = [onset for onset in onsets if onset < 0]
        onsets += [onset + stage.end for onset in over]
        played |= {onset + stage.end: played[onset] + stage.end for onset in over}
    moved = _merged(_moved(hit, onsets, played, stage.end) for hit in swung_hits)
    single = _one_at_a_time(moved, stage)
    notes = zip(single, _velocities(single, loop=stage.loop), strict=True)
    return replace(track, notes=tuple(_note(hit, velocity) for hit, velocity in notes))


def _merged(hits: Iterable[_Hit]) -> list[_Hit]:
    """Make one, the longest and loudest, of those that strike one key at once; order them."""
    merged: dict[tuple[int, int], _Hit] = {}
    for hit in hits:
        same = merged.get((hit.start, hit.pitch), hit)
        end, velocity = max(hit.end, same.end), max(hit.velocity, same.velocity)
        merged[hit.start, hit.pitch] = hit._replace(end=end, velocity=velocity)
    return sorted(merged.values())


def _swung(note: Note, part: Part, stage: _Stage) -> _Hit:
    start, end = note.start, note.end
    if stage.swings(start):
        late = ratio(part, stage.tempo.at(start))
        start, end = swung(start, late), swung_end(start, end, late)
    first = round(start * GRID)
    return _Hit(first, note.pitch, max(first + 1, round(end * GRID)), note.velocity)


def _human(onsets: Sequence[int], part: Part, stage: _Stage, rng: random.Random) -> Iterator[int]:
    """Yield the tick on which each onset (in order) is played."""
    for onset, room in zip(onsets, _rooms(onsets, stage), strict=True):
        ticks_a_second = float(stage.tempo.at(Fraction(onset, GRID)) * GRID / 60)
        furthest = min(FURTHEST * ticks_a_second, room / APART)
        move = rng.gauss(0, SPREAD[part]) * ticks_a_second
        yield stage.kept(onset, onset + round(max(-furthest, min(furthest, move))))


def _rooms(onsets: Sequence[int], stage: _Stage) -> Iterator[int]:
    """Yield the ticks from each onset to the nearer of its neighbours, in a loop round the seam."""
    if not onsets:
        return
    before, after = onsets[0] - stage.end, onsets[-1] + stage.end
    if stage.loop:
        before, after = onsets[-1] - stage.end, onsets[0] + stage.end
    gaps = [two - one for one, two in pairwise([before, *onsets, after])]
    yield from (min(pair) for pair in pairwise(gaps))


def _moved(hit: _Hit, onsets: Sequence[int], played: Mapping[int, int], end: int) -> _Hit:
    """Move a hit with its onset; it still ends before what came after it."""
    start = played[hit.start]
    until = hit.end + start - hit.start
    following = bisect_left(onsets, hit.end)
    if following < len(onsets):
        until = min(until, played[onsets[following]])
    return hit._replace(start=start, end=max(start + 1, min(until, end)))


def _one_at_a_time(hits: Sequence[_Hit], stage: _Stage) -> list[_Hit]:
    """Let go of each key when it is struck again, in a loop round the seam."""
    coming: dict[int, int] = {}
    if stage.loop:
        coming = {hit.pitch: hit.start + stage.end for hit in reversed(hits)}
    cut: list[_Hit] = []
    for hit in reversed(hits):
        cut.append(hit._replace(end=min(hit.end, coming.get(hit.pitch, hit.end))))
        coming[hit.pitch] = hit.start
    return cut[::-1]


def _velocities(hits: Sequence[_Hit], *, loop: bool) -> list[int]:
    """Let no hit be as loud as the one before it, or as the last on its key; by the least change.

    In a loop the first follows on the last.
    """
    final = {hit.pitch: index for index, hit in enumerate(hits)} if loop else {}
    first: dict[int, int] = {}
    last: dict[int, int] = {}
    velocities: list[int] = []
    for index, hit in enumerate(hits):
        taken = {*velocities[-1:], last.get(hit.pitch)}
        if loop and index == len(hits) - 1:
            taken.update(velocities[:1])
        if index == final.get(hit.pitch):
            taken.add(first.get(hit.pitch))
        velocity = _nearest(hit.velocity, taken)
        first.setdefault(hit.pitch, velocity)
        last[hit.pitch] = velocity
        velocities.append(velocity)
    return velocities


def _nearest(wanted: int, taken: Container[int | None]) -> int:
    """Return the velocity nearest to the one wanted that is not taken, the softer of two."""
    near = (wanted + sign * step for step in range(LOUDEST) for sign in (-1, 1))
    return next(v for v in near if SOFTEST <= v <= LOUDEST and v not in taken)


def _note(hit: _Hit, velocity: int) -> Note:
    return Note(Fraction(hit.start, GRID), Fraction(hit.end - hit.start, GRID), hit.pitch, velocity)
