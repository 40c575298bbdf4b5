"""The written phrase: what stands in a phrase file, as values without behaviour.

Conventions: time is in quarter notes from the first full bar's first beat, so that a pick-up lies
before zero. Pitches are sounding ones; middle C is C4. A `Place` never takes part in equality, and
neither does how a note or a line was typed: two phrases are equal when they would sound and be
printed alike.

A phrase as written keeps these rules, and `chartkit.phrase.values.as_written` makes one keep them:
its notes and rests follow each other without gaps from the pick-up's start to the last bar's end;
each has one note value and lies within one bar; what lasts longer is tied. Its chords lie within
one bar each and fill all the bars, the pick-up left out, or there are none at all.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from chartkit.chart import Comment, Meter, Tempo
from chartkit.errors import Place
from chartkit.theory.chord import Chord
from chartkit.theory.key import Key
from chartkit.theory.pitch import Degree, Pitch

FOUR_FOUR: Final = Meter(4)


@dataclass(frozen=True, slots=True)
class PhraseChord:
    """A chord (None for N.C.) within one bar; `start` and `length` in quarter notes."""

    start: Fraction
    length: Fraction
    chord: Chord | None
    place: Place | None = field(default=None, compare=False, repr=False)

    @property
    def end(self) -> Fraction:
        """Where it stops."""
        return self.start + self.length


@dataclass(frozen=True, slots=True)
class PhraseNote:
    """A written note or rest.

    Parameters
    ----------
    start, length : Fraction
        In quarter notes; the length is one of `chartkit.phrase.values.VALUES`.
    pitch : Pitch or None
        As it sounds; None is a rest.
    tie : bool
        It is tied to the next note, which has the same pitch.
    degree : Degree or None
        How it was typed, where a degree of the chord was: the writer keeps it so, as long as it
        still is the pitch. It takes no part in equality.
    """

    start: Fraction
    length: Fraction
    pitch: Pitch | None
    tie: bool = False
    degree: Degree | None = field(default=None, compare=False, repr=False)
    place: Place | None = field(default=None, compare=False, repr=False)

    @property
    def end(self) -> Fraction:
        """Where it stops."""
        return self.start + self.length


@dataclass(frozen=True, slots=True)
class Phrase:
    """A whole phrase file.

    Parameters
    ----------
    notes : tuple of PhraseNote
        At least one.
    title, source : str
        What it is called and where the player has it from, in the player's words; empty where not
        given.
    note : tuple of str
        Free text, one entry a ``Note:`` line.
    key : Key or None
        None where not given: `chartkit.phrase.chart.key_of` tells.
    meter : Meter
    feel : str
        A name from `chartkit.feel`.
    tempo : Tempo or None
        None where not given: the feel's own.
    chords : tuple of PhraseChord
        What it is played over; empty where nothing is known.
    pickup : Fraction
        Length of the pick-up in quarter notes, less than a bar; 0 for none.
    comments : tuple of Comment
        Anchored as in a chart, and at ``("chords", i)`` and ``("melody", i)``, the file's i-th
        line of either.
    lines : tuple of int
        Bars on each line of the file; empty leaves it to the writer.
    """

    notes: tuple[PhraseNote, ...]
    title: str = ""
    source: str = ""
    note: tuple[str, ...] = ()
    key: Key | None = None
    meter: Meter = FOUR_FOUR
    feel: str = "swing"
    tempo: Tempo | None = None
    chords: tuple[PhraseChord, ...] = ()
    pickup: Fraction = Fraction(0)
    comments: tuple[Comment, ...] = ()
    lines: tuple[int, ...] = field(default=(), compare=False)

    @property
    def length(self) -> Fraction:
        """Its bars in quarter notes, without the pick-up."""
        return self.notes[-1].end

    @property
    def bars(self) -> int:
        """How many bars it has, the pick-up left out."""
        return int(self.length / self.meter.length)
