"""Performed music: what a player plays, and all of it put together.

Conventions: beats are quarter notes counted from the loop's (or the first chorus's) first beat, so
that a count-in and a push over the seam lie before zero. Players write straight time; only
`chartkit.timing` turns it into swung, human time, on a grid of 1/960.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from chartkit.chart import Meter
from chartkit.form import BarId
from chartkit.theory.key import Key

Part = Literal["bass", "chords", "drums", "line", "click"]

GRID = 960
"""Ticks in a quarter note once music is performed; the only grid of MIDI and audio."""


@dataclass(frozen=True, slots=True, order=True)
class Note:
    """One sounding note.

    Parameters
    ----------
    start : Fraction
        In quarter notes; may be below zero.
    length : Fraction
        In quarter notes, above zero.
    pitch : int
        MIDI note number 0-127; in a drum part, the General MIDI percussion key.
    velocity : int
        1-127.
    """

    start: Fraction
    length: Fraction
    pitch: int
    velocity: int

    @property
    def end(self) -> Fraction:
        """Where it ends, in quarter notes."""
        return self.start + self.length


@dataclass(frozen=True, slots=True)
class Track:
    """One part's notes in order of start.

    Parameters
    ----------
    part : str
    program : int
        General MIDI program from 0; for the drums, the kit.
    notes : tuple of Note
    """

    part: Part
    program: int
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True)
class Marker:
    """A word at a beat: a section's label, a chorus, a chord symbol (`kind` tells which).

    A "turn" tells who plays from there on where the band and the player trade, or, as a cue, that
    the drums bring the band back in.
    """

    start: Fraction
    text: str
    kind: Literal["chorus", "section", "chord", "bar", "loop", "turn"] = "section"


@dataclass(frozen=True, slots=True)
class TempoMap:
    """Tempo steps over beats.

    Parameters
    ----------
    steps : tuple of (Fraction, Fraction)
        (first beat, quarter notes a minute), in order of beat; the first holds for all before it.
    """

    steps: tuple[tuple[Fraction, Fraction], ...]

    def seconds(self, beat: Fraction) -> Fraction:
        """Return the exact time of a beat in seconds from beat zero (below zero before it)."""
        return self._elapsed(beat) - self._elapsed(Fraction(0))

    def at(self, beat: Fraction) -> Fraction:
        """Return the tempo at a beat, in quarter notes a minute."""
        return next(
            (quarters for first, quarters in reversed(self.steps) if first <= beat),
            self.steps[0][1],
        )

    def _elapsed(self, beat: Fraction) -> Fraction:
        """Seconds from the first step's beat to `beat`."""
        first, tempo = self.steps[0]
        total = Fraction(0)
        for start, quarters in self.steps[1:]:
            if start >= beat:
                break
            total += (start - first) * 60 / tempo
            first, tempo = start, quarters
        return total + (beat - first) * 60 / tempo


@dataclass(frozen=True, slots=True)
class Performance:
    """Everything that sounds, ready for MIDI and audio.

    Parameters
    ----------
    tracks : tuple of Track
    tempo : TempoMap
    meters : tuple of (Fraction, Meter)
        Meter changes by beat.
    keys : tuple of (Fraction, Key)
        Key changes by beat.
    markers : tuple of Marker
    start, length : Fraction
        The first beat (zero, or below it by the count-in) and the beats from zero to the end.
    loop : bool
        It goes round: what sounds at the end leads into beat zero. Every note ends by `length`.
    rounds : int
        The beats from zero to `length` are played so many times, each time alike; more than 1 only
        in a loop.
    title : str
    levels : tuple of (str, float)
        Parts that are to be louder or softer than they usually are, in dB.
    bars : tuple of (Fraction, BarId)
        The bars in the order they sound, each with its first beat: the thread back to the page.
    """

    tracks: tuple[Track, ...]
    tempo: TempoMap
    meters: tuple[tuple[Fraction, Meter], ...]
    keys: tuple[tuple[Fraction, Key], ...]
    markers: tuple[Marker, ...]
    start: Fraction
    length: Fraction
    loop: bool
    rounds: int = 1
    title: str = ""
    levels: tuple[tuple[Part, float], ...] = ()
    bars: tuple[tuple[Fraction, BarId], ...] = ()
