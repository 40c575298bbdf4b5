"""The bass player: one line through the whole arrangement, then the way it is played.

Conventions: beats are quarter notes from the arrangement's beat zero, straight; velocities are
MIDI's. What a note is split into comes from the feel's ornaments, figures of one beat: ``x`` is the
note itself, ``g`` the same pitch again as a ghost, ``b`` a tone of the scale between it and the
next note, ``.`` silence.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from typing import Final

from chartkit.arrange import Arrangement
from chartkit.band.bass_costs import SKIP
from chartkit.band.beats import Beat, lay_beats
from chartkit.band.cues import cues
from chartkit.band.walk import line
from chartkit.feel import feel, patterns
from chartkit.feel.figure import Figure, Stroke
from chartkit.feel.pattern import Pattern, choose, vocabulary
from chartkit.track import Note, Track

PROGRAM: Final = 32
"""General MIDI's acoustic bass."""

GHOST, BETWEEN = "g", "b"
PLAIN: Final = Figure.read("x")

QUIET, FULL = 76, 94
"""Velocity of a plain note in the quietest and in the fullest music."""

ACCENT: Final = 9
"""How much harder pushes and hits are struck."""

SOFTER: Final = 30
"""How much softer ghosts are."""

VARIETY: Final = 4
"""A note is harder or softer by chance by as much."""

LIFT: Final = Fraction(1, 16)
"""A note ends so much before the next, in quarter notes."""


def play(arrangement: Arrangement, avoid: tuple[int, int] | None, rng: random.Random) -> Track:
    """Return the bass of an arrangement.

    Parameters
    ----------
    arrangement : Arrangement
    avoid : tuple of int or None
        Lowest and highest pitch of a soloist, MIDI numbers; the bass keeps out of there where its
        rules leave it a choice.
    rng : random.Random

    Raises
    ------
    RequestError
        A feel is not built.
    """
    tempo, closed = arrangement.tempo, arrangement.loop
    beats = lay_beats(cues(arrangement), tempo, rng, closed=closed)
    pitches = line(beats, avoid, rng, closed=closed)
    notes = (
        note
        for beat, pitch, target in zip(beats, pitches, [*pitches[1:], *pitches[:1]], strict=True)
        for note in _played(beat, pitch, target, tempo.at(beat.cue.span.start), rng)
    )
    return Track("bass", PROGRAM, tuple(notes))


def _played(
    beat: Beat, pitch: int, target: int, tempo: Fraction, rng: random.Random
) -> Iterator[Note]:
    """Yield a note of the line with its ornament; `target` is the line's next pitch."""
    filled = _between(pitch, target, beat)
    velocity = _velocity(beat, rng)
    lift = LIFT if beat.cue.sound == "full" else 0
    for stroke in _figure(beat, tempo, rng, fills=filled is not None):
        sounded = filled if stroke.mark == BETWEEN and filled else pitch
        softer = SOFTER if stroke.mark == GHOST else 0
        start = beat.start + stroke.start * beat.length
        yield Note(start, stroke.length * beat.length - lift, sounded, velocity - softer)


def _figure(beat: Beat, tempo: Fraction, rng: random.Random, *, fills: bool) -> tuple[Stroke, ...]:
    """Return what a beat is made into; a note longer or shorter than a beat stays as it is."""
    name, intensity = beat.cue.span.feel, beat.cue.intensity
    if beat.length != feel(name).pulse:
        return PLAIN.strokes
    ((_, figure),) = choose(_ornaments(name, tempo, fills=fills), intensity, rng).figures
    return figure.strokes


@cache
def _ornaments(name: str, tempo: Fraction, *, fills: bool) -> tuple[Pattern, ...]:
    """Return a feel's ornaments; those that fill a skip only where there is one to fill."""
    return tuple(
        row
        for row in vocabulary(name, "bass", "ornaments", tempo)
        if fills or all(stroke.mark != BETWEEN for stroke in row.figures[0][1].strokes)
    )


def _between(pitch: int, target: int, beat: Beat) -> int | None:
    """Return the tone of the scale that fills a skip, next to where it goes; None where none is."""
    scale = beat.cue.span.scale
    if beat.duty == "lead" or scale is None or abs(target - pitch) < SKIP:
        return None
    towards = -1 if target > pitch else 1
    inside = range(target + towards, pitch, towards)
    return next((tone for tone in inside if tone % 12 in scale.pitch_classes), None)


def _velocity(beat: Beat, rng: random.Random) -> int:
    cue = beat.cue
    together = beat.start < cue.span.start or cue.sound == "hit"
    own = patterns(cue.span.feel)["bass"].get("stress", {})
    stress = ACCENT if together else own.get(beat.duty, 0)
    plain = QUIET + (FULL - QUIET) * cue.intensity
    return round(plain + stress + rng.uniform(-VARIETY, VARIETY))
