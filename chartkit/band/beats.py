"""Where the notes of a bass line fall, and what each of them owes to the changes.

Conventions: beats are quarter notes from the arrangement's beat zero. Rhythm comes from the feel's
figures; a new chord and a push are always struck, whatever the figure says.
"""

from __future__ import annotations

import random
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Final, Literal, TypeAlias

from chartkit.band.bars import bars, lay, stretches
from chartkit.band.cues import Cue
from chartkit.feel import feel, patterns
from chartkit.feel.figure import Stroke
from chartkit.feel.pattern import vocabulary
from chartkit.track import TempoMap

Duty: TypeAlias = Literal["root", "lead", "pedal", "top", "strong", "weak"]

FREE: Final = "x"
"""A figure's mark for a note that the player chooses; a number asks for that degree."""

LEADS: Final = 2
"""Beats from which a chord has room for a note that leads to the next."""


@dataclass(frozen=True, slots=True)
class Beat:
    """One note of a bass line before it has a pitch.

    Parameters
    ----------
    start, length : Fraction
        In quarter notes; a push starts before its written beat.
    cue : Cue
        The chord that sounds.
    mark : str
        The figure's mark: `FREE`, or the number of a degree of the chord.
    duty : str
        "root": the chord is new, so its bass note sounds. "lead": the last note before a new chord
        of another bass. "pedal": the bass stays while the chords change. Otherwise the weight of
        its place: "top" of the bar, "strong" (3, 5, 7) or "weak" (2, 4, 6, and off the beat).
    target : int or None
        Pitch class of the bass note that a lead leads to.
    joined : bool
        The note before it lasts until it.
    crosses : bool
        A bar line lies between it and the note before it.
    """

    start: Fraction
    length: Fraction
    cue: Cue
    mark: str
    duty: Duty
    target: int | None = None
    joined: bool = True
    crosses: bool = False

    @property
    def end(self) -> Fraction:
        """Where it stops, in quarter notes."""
        return self.start + self.length


def repeats(name: str) -> bool:
    """Tell whether a feel's bass may play a pitch again over a bar line: where its file says so."""
    return bool(patterns(name)["bass"].get("repeats"))


def lay_beats(
    changes: Sequence[Cue], tempo: TempoMap, rng: random.Random, *, closed: bool
) -> tuple[Beat, ...]:
    """Return the beats of a bass line through the changes.

    Parameters
    ----------
    changes : sequence of Cue
    tempo : TempoMap
    rng : random.Random
    closed : bool
        The end leads round to the beginning.
    """
    strokes = sorted(_figured(changes, tempo, rng), key=lambda stroke: stroke.start)
    starts = [stroke.start for stroke in strokes]
    struck = [
        (cue, stroke)
        for cue in changes
        for stroke in _own(
            cue, strokes[bisect_left(starts, cue.span.start) : bisect_left(starts, cue.end)]
        )
    ]
    ends = [*(_start(*pair) for pair in struck[1:]), changes[-1].end]
    beats = [_beat(cue, stroke, end) for (cue, stroke), end in zip(struck, ends, strict=False)]
    return tuple(_linked(beats, changes[-1].end, closed=closed)) if beats else ()


def _figured(changes: Sequence[Cue], tempo: TempoMap, rng: random.Random) -> Iterator[Stroke]:
    """Yield the strokes of the feel's figures, whatever the changes are."""
    for stretch in stretches(bars(changes)):
        span = stretch[0].cues[0].span
        rows = vocabulary(span.feel, "bass", "figures", tempo.at(span.start))
        yield from (stroke for _, stroke in lay(rows, stretch, rng))


def _own(cue: Cue, strokes: Sequence[Stroke]) -> Sequence[Stroke]:
    """Choose the strokes that a chord is played with, out of those that fall on it."""
    first = cue.span.start
    owed = cue.new or cue.pushed or cue.sound == "hit"
    if owed and not (strokes and strokes[0].start == first):
        strokes = [Stroke(first, cue.span.length, FREE), *strokes]
    return {"full": strokes, "none": ()}.get(cue.sound, strokes[:1])


def _start(cue: Cue, stroke: Stroke) -> Fraction:
    return cue.start if stroke.start == cue.span.start else stroke.start


def _beat(cue: Cue, stroke: Stroke, end: Fraction) -> Beat:
    """Return one note by itself; it sounds until `end` unless the sound breaks off before."""
    start = _start(cue, stroke)
    return Beat(start, min(end, cue.until) - start, cue, stroke.mark, _duty(cue, stroke))


def _duty(cue: Cue, stroke: Stroke) -> Duty:
    """Tell what a note owes, whatever comes after it."""
    if cue.new and stroke.start == cue.span.start:
        return "root"
    if cue.pedal:
        return "pedal"
    beat = (stroke.start - cue.span.bar_start) / feel(cue.span.feel).pulse
    return "top" if beat == 0 else "strong" if beat % 2 == 0 else "weak"


def _linked(beats: Sequence[Beat], end: Fraction, *, closed: bool) -> Iterator[Beat]:
    """Tell each beat what lies before and after it."""
    joins = [one.end == two.start for one, two in pairwise(beats)]
    seam = closed and beats[-1].end == end
    around = zip([beats[-1], *beats], beats, [*beats[1:], beats[0]], strict=False)
    for (before, beat, after), joined, goes_on in zip(
        around, [seam, *joins], [*joins, seam], strict=True
    ):
        target = _target(beat, after) if goes_on else None
        yield replace(
            beat,
            duty=beat.duty if target is None else "lead",
            target=target,
            joined=joined,
            crosses=beat is beats[0] or before.cue.span.bar_start != beat.cue.span.bar_start,
        )


def _target(beat: Beat, after: Beat) -> int | None:
    """Return the pitch class that a note has to lead to; None where it leads nowhere."""
    free = beat.mark == FREE and beat.duty != "root" and after.duty == "root"
    room = beat.cue.reach >= LEADS * feel(beat.cue.span.feel).pulse
    stays = beat.cue.pedal and beat.cue.bass == after.cue.bass
    return after.cue.bass if free and room and not stays else None
