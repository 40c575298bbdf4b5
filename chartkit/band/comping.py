"""The chord player: figures by phrase, voicings led over the whole form.

Conventions: beats are quarter notes from the arrangement's beat zero, straight; pitches are MIDI
note numbers. When the hand comes down is decided in `chartkit.band.phrases`, on what in
`chartkit.band.leading`. Nothing sounds past the next strike or past its chord.
"""

from __future__ import annotations

import random
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

from chartkit.arrange import Arrangement
from chartkit.band.cues import Cue, cues
from chartkit.band.hands import hand_of
from chartkit.band.leading import Choice, Register, lead
from chartkit.band.phrases import hold, speak
from chartkit.band.strikes import Strike, contexts
from chartkit.theory.voicing import RANGE, Voicing
from chartkit.track import Note, Track

HIGHEST: Final = 79
"""How high chords may go to leave their usual range to someone else: G5."""

ROOM: Final = 18
"""The smallest register in which either hand has every chord, in semitones."""

SOFT, LOUD = 54, 80
"""Velocities of the quietest and the fullest chorus."""

GAP: Final = Fraction(1, 8)
"""The hand lifts so long before the end of what is written, in quarter notes."""

LIFTED: Final = 4
"""But for no more than such a part of it."""

STRESS: Final = 9
"""An accent is so much louder."""

VARIETY: Final = 4
"""A strike is louder or softer by so much."""

TOP: Final = 4
"""The top voice is so much louder than the others."""


def play(arrangement: Arrangement, avoid: tuple[int, int] | None, rng: random.Random) -> Track:
    """Return the chords of an arrangement.

    Parameters
    ----------
    arrangement : Arrangement
    avoid : tuple of int or None
        Lowest and highest pitch of someone the chords should keep clear of, as far as they can.
    rng : random.Random

    Raises
    ------
    RequestError
        A feel is not built.
    CannotPlay
        A chord has no voicing in the register.
    """
    played = cues(arrangement)
    strikes = _sized(_strikes(played, arrangement, rng), played)
    sounding = sorted({strike.cue for strike in strikes})
    held = sum(played[index].sound == "held" for index in sounding)
    spans = [played[index].span for index in sounding]
    hand, program = hand_of(played[0].span.feel, arrangement.chords_on)
    choice = Choice(hand, register(avoid), arrangement.voicings)
    led = lead(spans, choice, rng, loop=arrangement.loop, held=held)
    voiced = dict(zip(sounding, led, strict=True))
    return Track("chords", program, tuple(_notes(strikes, played, voiced, rng)))


def register(avoid: tuple[int, int] | None) -> Register:
    """Return the register that has least in common with the one to avoid.

    Parameters
    ----------
    avoid : tuple of int or None
        MIDI note numbers, both included.
    """
    if avoid is None:
        return RANGE
    low, high = avoid

    def shared(one: Register) -> tuple[int, int, int]:
        common = min(one[1], high) - max(one[0], low) + 1
        return max(common, 0), one[0] - one[1], abs(sum(one) - sum(RANGE))

    most = RANGE[1] - RANGE[0]
    return min(
        (
            (bottom, bottom + width)
            for width in range(ROOM, most + 1)
            for bottom in range(RANGE[0], HIGHEST - width + 1)
        ),
        key=shared,
    )


def _strikes(played: Sequence[Cue], arrangement: Arrangement, rng: random.Random) -> list[Strike]:
    """Every strike in order, those over the seam below zero."""
    loop = arrangement.loop
    bars = contexts(played, loop=loop)
    spoken = (
        hold(bars) if arrangement.long_chords else speak(bars, arrangement.tempo, rng, loop=loop)
    )
    held = [
        Strike(cue.start, cue.end - cue.start, index)
        for index, cue in enumerate(played)
        if cue.sound == "held"
    ]
    length = played[-1].span.start + played[-1].span.length
    seam = [
        replace(strike, start=strike.start - length, cue=0)
        for strike in spoken
        if strike.cue == len(played)
    ]
    return [*seam, *(strike for strike in spoken if strike.cue < len(played)), *held]


def _sized(strikes: Sequence[Strike], played: Sequence[Cue]) -> list[Strike]:
    """Strikes as long as they sound: at most up to the next, and never past their chord."""
    starts = [strike.start for strike in strikes]
    after = [*starts[1:], played[-1].span.start + played[-1].span.length]
    runs = _runs(played)
    return [
        replace(strike, length=_end(strike, following, runs[strike.cue]) - strike.start)
        for strike, following in zip(strikes, after, strict=False)
    ]


def _end(strike: Strike, following: Fraction, run: Fraction) -> Fraction:
    """Where a strike ends; the hand lifts before it falls again."""
    gap = min(GAP, strike.length / LIFTED)
    return min(strike.start + strike.length - gap, following - gap, run)


def _runs(played: Sequence[Cue]) -> list[Fraction]:
    """Where the chord of each cue ends, told from the last back."""
    runs: list[Fraction] = []
    goes_on = False
    for cue in reversed(played):
        runs.append(runs[-1] if goes_on else min(cue.end, cue.until))
        goes_on = cue.sound == "full" and not cue.new
    return runs[::-1]


def _notes(
    strikes: Sequence[Strike],
    played: Sequence[Cue],
    voiced: Mapping[int, Voicing],
    rng: random.Random,
) -> Iterator[Note]:
    """Yield the notes of every strike; no two neighbours are equally loud."""
    taken: set[int] = set()
    first = None
    for number, strike in enumerate(strikes, 1):
        if number == len(strikes) and first is not None:
            taken |= {first, first - TOP}
        velocity = _velocity(strike, played[strike.cue].intensity, taken, rng)
        pitches = voiced[strike.cue].pitches
        for voice, pitch in enumerate(pitches, 1):
            own = TOP if voice == len(pitches) else -(voice - 1)
            yield Note(strike.start, strike.length, pitch, velocity + own)
        taken = {velocity, velocity + TOP}
        first = first or velocity


def _velocity(strike: Strike, intensity: float, taken: Container[int], rng: random.Random) -> int:
    """How loud a strike is, but not as loud as its neighbours."""
    middle = round(SOFT + (LOUD - SOFT) * intensity) + STRESS * strike.accent
    return rng.choice([v for v in range(middle - VARIETY, middle + VARIETY + 1) if v not in taken])
