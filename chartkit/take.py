"""One request as a value: everything that decides what a file will hold.

The command line and everything built on it later speak `Take`; two equal takes make equal music,
so `digest` is the key of any cache.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from fractions import Fraction

from chartkit.chart import Chart
from chartkit.line_options import NO_CHOICE, LineOptions
from chartkit.theory.key import Key
from chartkit.track import Part

BAND: tuple[Part, ...] = ("bass", "chords", "drums")


@dataclass(frozen=True, slots=True)
class ExerciseAsked:
    """What to play through the changes.

    Parameters
    ----------
    kind : str
        A name from `chartkit.exercise.KINDS`.
    position : int or None
        Fret of the first finger, 1-12 and up; None for a free hand within `low`-`high`.
    low, high : int or None
        MIDI note numbers, both included; None for the instrument's (or the position's) own.
    start : int or None
        MIDI note number to start from or near; None for the lowest fitting root going up, the
        highest going down.
    value : Fraction
        Length of a note in quarter notes.
    upward : bool
        The first direction.
    options : LineOptions
        What else its kind lets a player choose.
    """

    kind: str = "connected"
    position: int | None = None
    low: int | None = None
    high: int | None = None
    start: int | None = None
    value: Fraction = Fraction(1, 2)
    upward: bool = True
    options: LineOptions = NO_CHOICE


@dataclass(frozen=True, slots=True)
class Take:
    """A part of a chart and how it is to be played.

    Parameters
    ----------
    chart : Chart
    sections : tuple of str
        Labels to join, in order; empty for the whole form (or for `bars`).
    bars : tuple of int or None
        First and last printed bar numbers, both included.
    key : Key or None
        Transpose to this key; None as written.
    tempo : Fraction or None
        Quarter notes a minute; None for the chart's, else the feel's own.
    feel : str or None
        In place of the chart's.
    times : int
        Times round (choruses, in a play-along), from 1.
    loop : bool
        The end leads into the beginning; otherwise there is an ending.
    same : bool
        Each time round alike.
    count_in : int
        Bars, from 0.
    seed : int
    parts : tuple of str
        The parts that sound.
    exercise : ExerciseAsked or None
    a4 : float
        Tuning of A4 in Hz.
    soundfont : str or None
        A path; None for the best that is found.
    """

    chart: Chart
    sections: tuple[str, ...] = ()
    bars: tuple[int, int] | None = None
    key: Key | None = None
    tempo: Fraction | None = None
    feel: str | None = None
    times: int = 1
    loop: bool = True
    same: bool = False
    count_in: int = 0
    seed: int = 0
    parts: tuple[Part, ...] = BAND
    exercise: ExerciseAsked | None = None
    a4: float = 440.0
    soundfont: str | None = None

    def digest(self) -> str:
        """Return 16 hexadecimal digits that differ for takes that differ."""
        return hashlib.sha256(repr(self).encode()).hexdigest()[:16]
