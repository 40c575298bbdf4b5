"""How alike two phrases are, so that a day does not bring two new ones that are easily mixed up.

Conventions: a phrase is compared by what its notes are to their chords (or, without chords, to its
key) and by its steps from note to note; rhythm, key and octave do not matter. Likeness goes from 0
to 1: the share of notes, or of steps, that need not be changed, put in or left out to turn one
phrase into the other [the edit distance of Levenshtein, 1966, from memory], whichever is greater.
The limit is this project's own.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from chartkit.phrase.chart import key_of
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.pitches import chord_at
from chartkit.phrase.strong import sounding_tones

ALIKE: Final = 0.6
"""From this likeness on two phrases are alike."""


def likeness(one: Phrase, other: Phrase) -> float:
    r"""Return how alike two phrases are, 0 to 1.

    >>> from chartkit.phrase.reader import parse
    >>> c7 = parse("Chords: C7\\nMelody: q C4 E4 G4 Bb4", "x").phrase
    >>> f7 = parse("Chords: F7\\nMelody: q F4 A4 C5 D5", "x").phrase
    >>> likeness(c7, c7), likeness(c7, f7)
    (1.0, 0.75)
    """
    return max(_share(_degrees(one), _degrees(other)), _share(_steps(one), _steps(other)))


def are_alike(one: Phrase, other: Phrase) -> bool:
    """Tell whether two phrases are easily mixed up."""
    return likeness(one, other) >= ALIKE


def _degrees(phrase: Phrase) -> tuple[int, ...]:
    """Return each note in semitones above the root of its chord."""
    home = key_of(phrase).tonic
    found = []
    for tone in sounding_tones(phrase):
        assert tone.pitch, "rests are left out"
        over = chord_at(phrase.chords, tone.start)
        root = over.chord.root if over and over.chord else home
        found.append((tone.pitch.midi - root.pitch_class) % 12)
    return tuple(found)


def _steps(phrase: Phrase) -> tuple[int, ...]:
    tones = sounding_tones(phrase)
    return tuple(b.pitch.midi - a.pitch.midi for a, b in pairwise(tones) if a.pitch and b.pitch)


def _share(one: Sequence[int], other: Sequence[int]) -> float:
    """Return what of two rows can stay, of the longer one; 0 where one is empty."""
    if not one or not other:
        return 0.0
    return 1 - _distance(one, other) / max(len(one), len(other))


def _distance(one: Sequence[int], other: Sequence[int]) -> int:
    """Return the fewest changes that turn one row into another."""
    row = list(range(len(other) + 1))
    for n, here in enumerate(one, 1):
        last, row[0] = row[0], n
        for m, there in enumerate(other, 1):
            changed = last + (here != there)
            last, row[m] = row[m], min(changed, row[m] + 1, row[m - 1] + 1)
    return row[-1]
