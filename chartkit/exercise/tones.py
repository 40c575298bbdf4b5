"""Chord tones in a range, each with what it is to its chord.

Conventions: both ends of a range are in it. Tones are spelled by their degrees from the root.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.exercise.terms import Terms
from chartkit.harmony import Span
from chartkit.theory.chord import Chord
from chartkit.theory.key import WRITTEN
from chartkit.theory.pitch import Degree, NoteName, Pitch
from chartkit.theory.symbol import write_symbol

ROLES: Final = {
    1: "root",
    2: "second",
    3: "third",
    4: "fourth",
    5: "fifth",
    6: "sixth",
    7: "seventh",
    9: "ninth",
    13: "thirteenth",
}
"""What a degree is to its chord, by its number."""


@dataclass(frozen=True, slots=True)
class ChordTone:
    """A pitch, spelled by its degree, and what it is to its chord."""

    pitch: Pitch
    role: str

    @property
    def midi(self) -> int:
        """MIDI note number."""
        return self.pitch.midi


def tone_at(root: NoteName, degree: Degree, midi: int) -> ChordTone:
    """Return a degree over a root where it sounds as a MIDI note number; ValueError elsewhere."""
    return ChordTone(Pitch.at(root.up(degree), midi), ROLES[degree.number])


@lru_cache(maxsize=4096)
def tones_within(
    root: NoteName, degrees: tuple[Degree, ...], low: int, high: int
) -> tuple[ChordTone, ...]:
    """Return every place of some degrees from `low` to `high` (MIDI note numbers), lowest first."""
    tones = (
        tone_at(root, degree, midi)
        for degree in degrees
        for midi in range(low, high + 1)
        if (midi - root.pitch_class - degree.semitones) % 12 == 0
    )
    return tuple(sorted(tones, key=lambda tone: tone.midi))


def chord_tones(chord: Chord, low: int, high: int) -> tuple[ChordTone, ...]:
    """Return the members of K (`Chord.essential`) from `low` to `high`, lowest first."""
    return tones_within(chord.root, chord.essential, low, high)


def line_tones(
    span: Span, chord: Chord, degrees: tuple[Degree, ...], terms: Terms
) -> tuple[ChordTone, ...]:
    """Return a chord's tones in the range of a line; CannotPlay where they are fewer than two."""
    return two_at_least(
        tones_within(chord.root, degrees, terms.low, terms.high), span, chord, terms
    )


def two_at_least(
    tones: tuple[ChordTone, ...], span: Span, chord: Chord, terms: Terms
) -> tuple[ChordTone, ...]:
    """Return the tones that a line may use over a chord; CannotPlay where they are too few."""
    if len(tones) < 2:  # noqa: PLR2004 (a line moves between two notes at least)
        raise CannotPlay(
            f"{bar_words(span, chord)} has fewer than two chord tones for this line "
            f"from {note_words(terms.low)} to {note_words(terms.high)}; widen the range"
        )
    return tones


def bar_words(span: Span, chord: Chord) -> str:
    """Return a bar and its chord as the beginning of a sentence."""
    return f"bar {span.bar.number}: {write_symbol(chord)}"


def note_words(midi: int) -> str:
    """Return a plain name for a MIDI note number.

    >>> note_words(58)
    'Bb3'
    """
    return str(Pitch.at(NoteName.parse(WRITTEN["major"][midi % 12]), midi))
