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
from collections import defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise
from typing import Final, NamedTuple

from chartkit.arrange import Arrangement
from chartkit.feel import FEELS, Feel
from chartkit.form import BarId
from chartkit.swing import STRAIGHT, ratio_in, swung, swung_end
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
    feels, anew = _feels(arrangement), _anew(arrangement)
    stage = _Stage(first, length, arrangement.loop, arrangement.tempo, feels, anew)
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
        bars=_bars(arrangement),
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
    feels : tuple of (Fraction, Feel)
        From which beat on there is which feel.
    anew : tuple of int
        Ticks from which on chance is as it was at the beginning.
    """

    first: Fraction
    length: Fraction
    loop: bool
    tempo: TempoMap
    feels: tuple[tuple[Fraction, Feel], ...]
    anew: tuple[int, ...]

    @property
    def end(self) -> int:
        """The tick on which all ends."""
        return int(self.length * GRID)

    def place(self, tick: int) -> int:
        """Return where a tick lies in a loop that has begun; in anything else, the tick itself."""
        return tick % self.end if self.loop else tick

    def kept(self, onset: int, tick: int) -> int:
        """Return the tick, or the nearest one on the onset's own side of zero and of the ends."""
        if onset >= 0:
            return max(0, min(self.end - 1, tick))
        return max(-self.end if self.loop else int(self.first * GRID), min(-1, tick))

    def feel(self, at: Fraction) -> Feel:
        """Return the feel at a beat; before zero a loop is as at its end."""
        if len(self.feels) == 1:
            return self.feels[0][1]
        if at < 0 and self.loop:
            at += self.length
        after = bisect_right(self.feels, at, key=lambda change: change[0])
        return self.feels[max(0, after - 1)][1]


def _bars(arrangement: Arrangement) -> tuple[tuple[Fraction, BarId], ...]:
    """Return each bar with its first beat; a held last chord belongs to the bar it begins in."""
    spans = (*arrangement.lead_in, *arrangement.spans, *arrangement.tail)
    return tuple(dict.fromkeys((span.bar_start, span.bar) for span in spans))


def _feels(arrangement: Arrangement) -> tuple[tuple[Fraction, Feel], ...]:
    spans = (*arrangement.lead_in, *arrangement.spans, *arrangement.tail)
    feels = [(span.start, FEELS[span.feel]) for span in spans]
    return (feels[0], *(new for old, new in pairwise(feels) if old[1] != new[1]))


def _anew(arrangement: Arrangement) -> tuple[int, ...]:
    """Return the ticks at which passes begin that are to sound alike."""
    if not arrangement.same or len(arrangement.passes) == 1:
        return ()
    return tuple(int((one.start + one.opening) * GRID) for one in arrangement.passes)


class _Hit(NamedTuple):
    """A note on its way, in ticks."""

    start: int
    pitch: int
    end: int
    velocity: int


def _performed(track: Track, stage: _Stage, seed: int) -> Track:
    """Swing a part, move its onsets by chance, and tidy what that did to ends and velocities."""
    if track.part == "click":  # a count-in before a loop is no part of it
        stage = replace(stage, loop=False)
    chance = f"{seed} {track.part} timing"
    placed = _merged((_swung(note, track.part, stage) for note in track.notes), stage)
    onsets = sorted({hit.start for hit in placed})
    played = dict(zip(onsets, _human(onsets, track.part, stage, chance), strict=True))
    if stage.loop:
        played |= _round_the_seam(played, stage.end)
    order = sorted(played)
    moved = _merged((_moved(hit, order, played, stage.end) for hit in placed), stage)
    single = _one_at_a_time(moved, stage)
    notes = zip(single, _velocities(single, loop=stage.loop), strict=True)
    return replace(track, notes=tuple(_note(hit, velocity) for hit, velocity in notes))


def _merged(hits: Iterable[_Hit], stage: _Stage) -> list[_Hit]:
    """Make one, the longest and loudest, of those that strike one key at once; order them.

    In a loop a push over the seam strikes at once with what is struck there as the loop ends.
    """
    merged: dict[tuple[int, int], _Hit] = {}
    for hit in sorted(hits):
        place = stage.place(hit.start), hit.pitch
        same = merged.get(place, hit)
        end = max(same.end, hit.end - hit.start + same.start)
        merged[place] = same._replace(end=end, velocity=max(hit.velocity, same.velocity))
    return sorted(merged.values())


def _swung(note: Note, part: Part, stage: _Stage) -> _Hit:
    start, end = note.start, note.end
    row = stage.feel(start)
    late = ratio_in(row, part, stage.tempo.at(start))
    if late != STRAIGHT:
        beat, until = start / row.pulse, end / row.pulse
        start, end = swung(beat, late) * row.pulse, swung_end(beat, until, late) * row.pulse
    first = round(start * GRID)
    return _Hit(first, note.pitch, max(first + 1, round(end * GRID)), note.velocity)


def _human(onsets: Sequence[int], part: Part, stage: _Stage, chance: str) -> Iterator[int]:
    """Yield the tick on which each onset (in order) is played; `chance` is what seeds it."""
    rooms = zip(onsets, _rooms(onsets, stage), strict=True)
    for _, group in groupby(rooms, key=lambda pair: bisect_right(stage.anew, pair[0])):
        rng = random.Random(chance)
        for onset, room in group:
            ticks_a_second = float(stage.tempo.at(Fraction(onset, GRID)) * GRID / 60)
            furthest = min(FURTHEST * ticks_a_second, room / APART)
            move = rng.gauss(0, SPREAD[part]) * ticks_a_second
            yield stage.kept(onset, onset + round(max(-furthest, min(furthest, move))))


def _rooms(onsets: Sequence[int], stage: _Stage) -> list[int]:
    """Return the ticks from each onset to its nearer neighbour, in a loop round the seam."""
    places = [stage.place(onset) for onset in onsets]
    order = sorted(places)
    before, after = (order[-1:], order[:1]) if stage.loop else (order[:1], order[-1:])
    around = [*(at - stage.end for at in before), *order, *(at + stage.end for at in after)]
    gaps = [two - one for one, two in pairwise(around)]
    rooms = {at: min(pair) for at, pair in zip(order, pairwise(gaps), strict=True)}
    return [rooms[at] for at in places]


def _round_the_seam(played: Mapping[int, int], end: int) -> dict[int, int]:
    """Return the onset of a push over the seam again at the loop's end, and the other way round."""
    first = min(played, default=0)
    over = {at + end: tick + end for at, tick in played.items() if at < 0}
    late = {at - end: tick - end for at, tick in played.items() if at - end > first}
    return over | late


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
    struck: dict[int, list[int]] = defaultdict(list)
    for hit in hits:
        struck[hit.pitch].append(stage.place(hit.start))
    for places in struck.values():
        places.sort()
        if stage.loop:
            places.append(places[0] + stage.end)
    return [_let_go(hit, struck[hit.pitch], stage.place(hit.start)) for hit in hits]


def _let_go(hit: _Hit, places: Sequence[int], own: int) -> _Hit:
    following = bisect_right(places, own)
    if following == len(places):
        return hit
    return hit._replace(end=min(hit.end, hit.start + places[following] - own))


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
