"""The changes as the band plays them together: what sounds, how early, and until when.

Conventions: beats are quarter notes from the arrangement's beat zero. A push sounds half a quarter
before its beat; a stop is a hit and then silence. In a loop the first chord's push lies before beat
zero, once, and stands for the note over the seam; played from nothing, it falls on its beat.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, pairwise
from typing import Final, Literal, TypeAlias

from chartkit.arrange import Arrangement, Pass
from chartkit.harmony import Span
from chartkit.theory.chord import Chord

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
        The chord is not the one played before it (round the seam in a loop). The held end is new
        too, and so is the first chord of a loop of one chord.
    reach : Fraction
        How long the chord lasts, in all its spans.
    pedal : bool
        The bass stays while the chord changes here, as a slash bass shows.
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
        return self.span.chord.lowest.pitch_class if self.span.chord else None


def cues(arrangement: Arrangement) -> tuple[Cue, ...]:
    """Return every span in order, those of a pickup and of a held end included."""
    heard = [*_heard(arrangement)]
    spans = [span for span, _, _ in heard]
    sounds = [sound for _, _, sound in heard]
    new = _new(spans, sounds, loop=arrangement.loop)
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


def _new(spans: Sequence[Span], sounds: Sequence[Sound], *, loop: bool) -> list[bool]:
    """Whether each chord is not the one before."""
    first = not loop or spans[0].chord != spans[-1].chord
    new = [first, *(one.chord != two.chord for one, two in pairwise(spans))]
    held = [sound == "held" for sound in sounds]
    new = [fresh or end for fresh, end in zip(new, held, strict=True)]
    return new if any(new) else [True, *new[1:]]


def _regions(
    spans: Sequence[Span], new: Sequence[bool], *, loop: bool
) -> list[tuple[Fraction, bool]]:
    """How long the chord of each span lasts, and whether it is part of a pedal."""
    numbers = [*accumulate(map(int, new))]
    if loop:  # what is held over the seam is one chord
        numbers = [number or numbers[-1] for number in numbers]
    reach: dict[int, Fraction] = {}
    chords: dict[int, Chord | None] = {}
    for number, span in zip(numbers, spans, strict=True):
        reach[number] = reach.get(number, Fraction(0)) + span.length
        chords[number] = span.chord
    order = [*chords, next(iter(chords))] if loop else [*chords]
    pedals = {
        number
        for pair in pairwise(order)
        if _bass_stays(*(chords[n] for n in pair))
        for number in pair
    }
    return [(reach[number], number in pedals) for number in numbers]


def _bass_stays(one: Chord | None, two: Chord | None) -> bool:
    """Whether the bass stays under two chords because a slash bass is written."""
    return (
        one is not None
        and two is not None
        and one != two
        and (one.bass is not None or two.bass is not None)
        and one.lowest.pitch_class == two.lowest.pitch_class
    )
