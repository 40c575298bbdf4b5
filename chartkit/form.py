"""From a written chart to the bars in the order they are played.

Conventions: from here on time is in quarter notes, counted from the form's first bar. Nothing
written short is left: similes, holds, repeats, endings and jumps are played out.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from chartkit.chart import Meter
from chartkit.theory.chord import Chord
from chartkit.theory.key import Key


@dataclass(frozen=True, slots=True)
class BarId:
    """The thread from the file to the page and the sound.

    Parameters
    ----------
    section : str
        The section's label.
    index : int
        The written bar's place in its section, from 0 (the second half of a two-bar simile counts).
    number : int
        The printed bar number; 0 for a pickup.
    """

    section: str
    index: int
    number: int


@dataclass(frozen=True, slots=True)
class Sounding:
    """A chord (None for N.C.) as it comes in a played bar.

    Parameters
    ----------
    start, length : Fraction
        In quarter notes from the bar's first beat.
    held : bool
        It goes on from the bar before without being written again (``| / / / |``).
    """

    chord: Chord | None
    start: Fraction
    length: Fraction
    pushed: bool = False
    stopped: bool = False
    held: bool = False
    text: str | None = None


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """One bar in playing order; `start` in quarter notes from the form's first bar.

    `key` is the section's own or the chart's; `ends_section` is set on the last bar of each
    section as played.
    """

    source: BarId
    start: Fraction
    meter: Meter
    length: Fraction
    key: Key
    feel: str
    changes: tuple[Sounding, ...]
    ends_section: bool = False


@dataclass(frozen=True, slots=True)
class Form:
    """Bars in playing order and their total length in quarter notes.

    `pickup` is the length of a first bar that stands before the form's beat one and is played in
    the count-in's last beats; that bar's `start` is below zero and it is not in `length`.
    """

    bars: tuple[PlayedBar, ...]
    length: Fraction
    pickup: Fraction = Fraction(0)
