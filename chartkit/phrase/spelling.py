"""Names for notes that come as numbers.

Conventions: a tone of the chord is spelled by it, a tone of the key by the key. A chromatic note
takes the letter beside that of the next note where it leads there by a semitone [common practice,
no source]; any other is the one nearest to the key on the line of fifths, from five fifths below
the tonic to six above it (Temperley, The Cognition of Basic Musical Structures, 2001, from memory).
The key is the one whose profile of tones fits best: Krumhansl and Kessler (1982), figures from
memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from statistics import correlation
from typing import Final

from chartkit.phrase.phrase import PhraseChord
from chartkit.phrase.pitches import chord_at
from chartkit.theory.key import Key, Mode
from chartkit.theory.pitch import LETTERS, NATURAL, NoteName, Pitch
from chartkit.theory.scale import Scale

PROFILES: Final[dict[Mode, tuple[float, ...]]] = {
    "major": (6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88),
    "minor": (6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17),
}
"""How well each semitone above the tonic fits a key."""

_FIFTHS: Final = "FCGDAEB"
_BELOW: Final = 5
"""Fifths below the tonic that its chromatic notes reach."""


def estimated_key(notes: Sequence[tuple[int, Fraction]]) -> Key:
    """Return the key that notes suggest, MIDI numbers and lengths."""
    weights = [0.0] * 12
    for midi, length in notes:
        weights[midi % 12] += float(length)
    homes = [(tonic, mode) for mode in PROFILES for tonic in range(12)]
    tonic, mode = max(homes, key=lambda home: _fit(weights, *home))
    return Key.written(tonic, mode)


def _fit(weights: Sequence[float], tonic: int, mode: Mode) -> float:
    turned = [*weights[tonic:], *weights[:tonic]]
    return correlation(turned, PROFILES[mode]) if len(set(weights)) > 1 else 0.0


def spelled(
    notes: Sequence[tuple[Fraction, int]], key: Key, chords: tuple[PhraseChord, ...]
) -> list[Pitch]:
    """Return the pitches of notes given as starts and MIDI numbers, in order."""
    found: list[Pitch] = []
    for start, midi in reversed(notes):
        over = chord_at(chords, start)
        tones = over.chord.tones if over and over.chord else ()
        name = (
            _among(tones, midi)
            or _among(_key_tones(key), midi)
            or (_leading(midi, found[-1]) if found else None)
            or _on_line(midi, key)
        )
        found.append(Pitch.at(name if abs(name.alter) < 2 else name.plain, midi))  # noqa: PLR2004
    return found[::-1]


def _among(names: Sequence[NoteName], midi: int) -> NoteName | None:
    return next((name for name in names if name.pitch_class == midi % 12), None)


def _key_tones(key: Key) -> tuple[NoteName, ...]:
    if key.mode == "major":
        return Scale.on(key.tonic, "ionian").tones
    return (*Scale.on(key.tonic, "aeolian").tones, *Scale.on(key.tonic, "melodic minor").tones)


def _leading(midi: int, after: Pitch) -> NoteName | None:
    """Return the name beside the next note's where it is a semitone away."""
    way = after.midi - midi
    if abs(way) != 1:
        return None
    letter = LETTERS[(LETTERS.index(after.name.letter) - way) % len(LETTERS)]
    alter = (midi - NATURAL[letter] + 6) % 12 - 6
    return NoteName(letter, alter).plain


def _on_line(midi: int, key: Key) -> NoteName:
    """Return the name nearest to the key on the line of fifths."""
    tonic = _FIFTHS.index(key.tonic.letter) + 7 * key.tonic.alter
    first = tonic - _BELOW
    for fifth in range(first, first + 12):
        name = NoteName(_FIFTHS[fifth % 7], fifth // 7)
        if name.pitch_class == midi % 12:
            return name
    raise AssertionError("twelve fifths in a row have every sound")
