"""The changes as the band plays them together: what sounds, how early, and until when.

Conventions: beats are quarter notes from the arrangement's beat zero. A push sounds half a quarter
before its beat; a stop is a hit and then silence. In a loop the first chord's push lies before beat
zero, once, and stands for the note over the seam; played from nothing, it falls on its beat.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, groupby, pairwise
from typing import Final, Literal, TypeAlias

from chartkit.arrange import Arrangement, Pass
from chartkit.harmony import Span

EARLY: Final = Fraction(1, 2)
"""How far a push comes before its beat, and how long a hit lasts, in quarter notes."""

Sound: TypeAlias = Literal["full", "hit", "held", "none"]


@dataclass(frozen=True, slots=True)
class Cue:
    """One span, as the band plays it.

    Parameters
    ----------
    span : Span
    start, end : Fraction
        From its first sound (before the span for a push) to the first sound of the next.
    until : Fraction
        Where the sound that it is part of breaks off; that runs on through the spans that follow,
        up to silence, a hit's end or the end of all.
    sound : str
        "full"; "hit", short and then silence; "held", the last chord of all; "none" for N.C. and
        for the rest of a stop.
    new : bool
        The chord is not the one played before it; the first of all and the held end are new too.
    reach : Fraction
        How long the chord lasts, in all its spans.
    pedal : bool
        The bass stays while the chord changes: it is one of a run of chords over one bass note, of
        which at least one has it as a slash bass, and has a slash itself or lasts a bar at most.
    chorus : int
        From 1.
    intensity : float
        0 (quiet) to 1 (full).
    """

    span: Span
    start: Fraction
    end: Fraction
    until: Fraction
    sound: Sound
    new: bool
    reach: Fraction
    pedal: bool
    chorus: int
    intensity: float

    @property
    def pushed(self) -> bool:
        """Whether it sounds before its beat."""
        return self.start < self.span.start

    @property
    def bass(self) -> int | None:
        """Pitch class of the bass note that the chord owes; None for N.C."""
        return _bass(self.span)


def cues(arrangement: Arrangement) -> tuple[Cue, ...]:
    """Return every span in order, those of a pickup and of a held end included."""
    heard = [*_heard(arrangement)]
    spans = [span for span, _, _ in heard]
    sounds = [sound for _, _, sound in heard]
    new = _new(spans, sounds)
    times = _times(spans, sounds, loop=arrangement.loop)
    regions = _regions(spans, new, loop=arrangement.loop)
    return tuple(
        Cue(span, *time, sound, fresh, *region, one.chorus, one.intensity)
        for (span, one, sound), time, fresh, region in zip(heard, times, new, regions, strict=True)
    )


def _heard(arrangement: Arrangement) -> Iterator[tuple[Span, Pass, Sound]]:
    """Every span, the pass whose spirit it is played in, and its sound."""
    first, last = arrangement.passes[0], arrangement.passes[-1]
    yield from ((span, first, _sound(span, first)) for span in arrangement.lead_in)
    yield from ((span, one, _sound(span, one)) for one in arrangement.passes for span in one.spans)
    yield from ((span, last, "held") for span in arrangement.tail)


def _sound(span: Span, one: Pass) -> Sound:
    if span.chord is None:
        return "none"
    if span.stopped:
        return "hit"
    stopped = any(
        accent.kind == "stop" and accent.start < span.start < accent.start + accent.length
        for accent in one.accents
    )
    return "none" if stopped else "full"


def _times(
    spans: Sequence[Span], sounds: Sequence[Sound], *, loop: bool
) -> list[tuple[Fraction, Fraction, Fraction]]:
    """First sound, the next one's first sound, and the break, of each span."""
    starts = [span.start - EARLY if span.pushed else span.start for span in spans]
    if not loop:
        starts[0] = spans[0].start
    final = spans[-1].start + spans[-1].length
    ends = [*starts[1:], final + starts[0] if loop and starts[0] < 0 else final]
    untils = _untils(starts, ends, sounds)
    return [*zip(starts, ends, untils, strict=True)]


def _untils(
    starts: Sequence[Fraction], ends: Sequence[Fraction], sounds: Sequence[Sound]
) -> list[Fraction]:
    """Where the sound that each span is part of breaks off, told from the last back."""
    until = ends[-1]
    untils: list[Fraction] = []
    for start, end, sound in zip(reversed(starts), reversed(ends), reversed(sounds), strict=True):
        own = {"hit": min(end, start + EARLY), "none": start}.get(sound, until)
        untils.append(own)
        until = until if sound == "full" else start
    return untils[::-1]


def _new(spans: Sequence[Span], sounds: Sequence[Sound]) -> list[bool]:
    """Whether each chord is not the one before."""
    changed = (one.chord != two.chord for one, two in pairwise(spans))
    return [True, *(new or sound == "held" for new, sound in zip(changed, sounds[1:], strict=True))]


def _regions(
    spans: Sequence[Span], new: Sequence[bool], *, loop: bool
) -> list[tuple[Fraction, bool]]:
    """Tell how long the chord of each span lasts, and whether the bass stays under it."""
    numbers = [*accumulate(map(int, new))]
    reach: dict[int, Fraction] = defaultdict(Fraction)
    firsts: dict[int, Span] = {}
    for number, span in zip(numbers, spans, strict=True):
        reach[number] += span.length
        firsts.setdefault(number, span)
    pedals = {
        number
        for run in _runs(firsts, loop=loop)
        if len({firsts[number].chord for number in run}) > 1
        and any(_slashed(firsts[number]) for number in run)
        for number in run
        if _slashed(firsts[number]) or reach[number] <= firsts[number].meter.length
    }
    return [(reach[number], number in pedals) for number in numbers]


def _runs(firsts: dict[int, Span], *, loop: bool) -> list[list[int]]:
    """Part the chords into runs over one bass note, round the seam of a loop too."""
    runs = [[*run] for _, run in groupby(firsts, key=lambda number: _bass(firsts[number]))]
    if loop and len(runs) > 1 and _bass(firsts[runs[0][0]]) == _bass(firsts[runs[-1][0]]):
        runs[0] = runs.pop() + runs[0]
    return runs


def _bass(span: Span) -> int | None:
    return span.chord.lowest.pitch_class if span.chord else None


def _slashed(span: Span) -> bool:
    return span.chord is not None and span.chord.bass is not None
