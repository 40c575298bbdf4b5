"""The chord tones that a line may use: K of a chord within a range.

Conventions: K is a chord's root, third (fourth if suspended), fifth as written, and seventh or
sixth, where it has them (`Chord.essential`); tensions and a slash bass are left out. Both ends of
a range are in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.harmony import Span
from chartkit.theory.chord import Chord
from chartkit.theory.key import WRITTEN
from chartkit.theory.pitch import NoteName, Pitch
from chartkit.theory.symbol import write_symbol

ROLES: Final = {
    1: "root",
    2: "second",
    3: "third",
    4: "fourth",
    5: "fifth",
    6: "sixth",
    7: "seventh",
    13: "thirteenth",
}
"""What a degree of K is to its chord, by its number."""


@dataclass(frozen=True, slots=True)
class ChordTone:
    """A pitch, spelled by its degree, and what it is to its chord."""

    pitch: Pitch
    role: str

    @property
    def midi(self) -> int:
        """MIDI note number."""
        return self.pitch.midi


def chord_tones(chord: Chord, low: int, high: int) -> tuple[ChordTone, ...]:
    """Return the members of K from `low` to `high` (MIDI note numbers), lowest first."""
    names = ((chord.root.up(degree), ROLES[degree.number]) for degree in chord.essential)
    tones = (
        ChordTone(Pitch.at(name, midi), role)
        for name, role in names
        for midi in range(low, high + 1)
        if midi % 12 == name.pitch_class
    )
    return tuple(sorted(tones, key=lambda tone: tone.midi))


def line_tones(span: Span, chord: Chord, low: int, high: int) -> tuple[ChordTone, ...]:
    """Return the chord tones of a span's chord; CannotPlay where they are too few for a line."""
    tones = chord_tones(chord, low, high)
    if len(tones) < 2:  # noqa: PLR2004 (a line moves between two notes at least)
        raise CannotPlay(
            f"bar {span.bar.number}: {write_symbol(chord)} has fewer than two chord tones "
            f"from {note_words(low)} to {note_words(high)}; widen the range"
        )
    return tones


def note_words(midi: int) -> str:
    """Return a plain name for a MIDI note number.

    >>> note_words(58)
    'Bb3'
    """
    return str(Pitch.at(NoteName.parse(WRITTEN["major"][midi % 12]), midi))
