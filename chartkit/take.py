"""One request as a value: everything that decides what a file will hold.

The command line and everything built on it later speak `Take`; two equal takes make equal music,
so `digest` is the key of any cache.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal, TypeAlias

from chartkit.chart import Chart
from chartkit.controls.clicks import Click
from chartkit.controls.intro import Intro
from chartkit.controls.keys import Keys
from chartkit.controls.ladder import Ladder
from chartkit.controls.trading import Trading
from chartkit.errors import RequestError
from chartkit.line_options import NO_CHOICE, LineOptions
from chartkit.player import GUITARIST, Player
from chartkit.theory.families import Family
from chartkit.theory.key import Key
from chartkit.track import Part

BAND: tuple[Part, ...] = ("bass", "chords", "drums")

ChordsOn: TypeAlias = Literal["guitar", "piano"]
"""What the chords may be played on."""

SOFTEST: Final = -60
LOUDEST: Final = 6
"""A part's level in dB that can be asked for, both included."""


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
    value : Fraction or None
        Length of a note in quarter notes; None for the kind's own.
    upward : bool
        The first direction.
    options : LineOptions
        What else its kind lets a player choose.
    player : Player
        Who plays it, on what.
    """

    kind: str = "connected"
    position: int | None = None
    low: int | None = None
    high: int | None = None
    start: int | None = None
    value: Fraction | None = None
    upward: bool = True
    options: LineOptions = NO_CHOICE
    player: Player = GUITARIST


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
        Each time round alike: the same chance for all of them.
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
    levels : tuple of (str, float)
        Parts that are louder or softer than usual, in dB.
    click : Click or None
        A click while the music plays.
    ladder : Ladder or None
        The tempo rises from `tempo`.
    keys : int or tuple of NoteName
        Another key each time round: a step in semitones, or tonics in turn in place of `key`.
    minutes : Fraction or None
        As many whole times round as fit into so many minutes, in place of `times`.
    trading : Trading or None
        The player and the band take turns.
    intro : {"written", "last-four", "vamp", "none"} or None
        Not in a loop. None for the chart's own where there is one.
    ending : {"written", "standard"} or None
        Not in a loop: the chart's closing sections, or straight to the last chord. None for the
        chart's own where there are any.
    last_chord : {"ring", "cut"}
        Held, or cut off short; not in a loop.
    long_chords : bool
        The chord instrument strikes each chord plainly and holds it.
    chords_on : {"guitar", "piano"} or None
        None for the feel's own.
    voicings : str or None
        A family of `chartkit.theory.families` to keep to wherever a chord has one; None for what is
        usual on the instrument.
    leave_room : tuple of int, "line" or None
        A register that bass and chords keep clear of where they can, lowest and highest MIDI note;
        "line" for that of the exercise.

    Raises
    ------
    RequestError
        A level is out of bounds.
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
    levels: tuple[tuple[Part, float], ...] = ()
    click: Click | None = None
    ladder: Ladder | None = None
    keys: Keys = 0
    minutes: Fraction | None = None
    trading: Trading | None = None
    intro: Intro | None = None
    ending: Literal["written", "standard"] | None = None
    last_chord: Literal["ring", "cut"] = "ring"
    long_chords: bool = False
    chords_on: ChordsOn | None = None
    voicings: Family | None = None
    leave_room: tuple[int, int] | Literal["line"] | None = None

    def __post_init__(self) -> None:
        if not all(SOFTEST <= level <= LOUDEST for _, level in self.levels):
            raise RequestError(f"a part's level goes from {SOFTEST} to {LOUDEST} dB")

    def digest(self) -> str:
        """Return 16 hexadecimal digits that differ for takes that differ."""
        return hashlib.sha256(repr(self).encode()).hexdigest()[:16]
