"""What key the changes are in.

Method (our own weighing of common signs; no source): every one of the 24 keys is scored by

- fit: how many of the chords' tones lie in the key's scale, each chord counting by its length; a
  minor key here has both sevenths;
- home: the share of time spent on the tonic chord (the right third; a dominant seventh counts as
  major, as in a blues);
- cadence: the share of all changes of chord that are V-I, and ii-V, in the key;
- ends: the last chord, and the first one, are the tonic chord.

The last chord is taken to lead to the first one, because choruses and loops go round. The weights
were chosen on the progressions in the tests.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fractions import Fraction
from itertools import pairwise
from typing import Final

from chartkit.theory.chord import Chord
from chartkit.theory.chord_scale import Kind, kind
from chartkit.theory.key import Key, Mode
from chartkit.theory.pitch import Degree

Lengths = tuple[tuple[Chord, Fraction], ...]

WEIGHTS: Final = {"fit": 4.0, "home": 1.0, "cadence": 1.5, "last": 0.5, "first": 0.4}
"""How much each sign counts; each sign lies between 0 and 1."""

_STEPS: Final[dict[Mode, frozenset[int]]] = {
    "major": frozenset({0, 2, 4, 5, 7, 9, 11}),
    "minor": frozenset({0, 2, 3, 5, 7, 8, 10, 11}),
}
_SECOND: Final[dict[Mode, Kind]] = {"major": "minor", "minor": "half-diminished"}
_MODES: Final[tuple[Mode, ...]] = ("major", "minor")


def estimate_key(changes: Iterable[tuple[Chord, Fraction]]) -> Key:
    """Estimate the key of a progression.

    Parameters
    ----------
    changes : iterable of (Chord, Fraction)
        Each chord and its length in any unit, in playing order, N.C. left out.

    Returns
    -------
    Key
        Under its customary name; C major where there are no chords.
    """
    played = tuple(changes)
    keys = [Key.written(pitch_class, mode) for mode in _MODES for pitch_class in range(12)]
    return max(keys, key=lambda key: _score(played, key)) if played else keys[0]


def _score(changes: Lengths, key: Key) -> float:
    first, last = changes[0][0], changes[-1][0]
    signs = {
        "fit": _average(changes, lambda chord: _fit(chord, key)),
        "home": _average(changes, lambda chord: _is_tonic(chord, key)),
        "cadence": _cadences([chord for chord, _ in changes], key),
        "last": _is_tonic(last, key),
        "first": _is_tonic(first, key),
    }
    return sum(WEIGHTS[sign] * value for sign, value in signs.items())


def _average(changes: Lengths, sign: Callable[[Chord], float]) -> float:
    """Average a sign over the chords, each by its length."""
    total = sum(length for _, length in changes)
    return sum(sign(chord) * float(length / total) for chord, length in changes)


def _fit(chord: Chord, key: Key) -> float:
    """Return the share of the chord's tones that lie in the key."""
    steps = {(tone - key.tonic.pitch_class) % 12 for tone in chord.pitch_classes}
    return len(steps & _STEPS[key.mode]) / len(steps)


def _step(chord: Chord, key: Key) -> int:
    """Return the semitones of the root above the tonic, 0-11."""
    return (chord.root.pitch_class - key.tonic.pitch_class) % 12


def _is_tonic(chord: Chord, key: Key) -> bool:
    third = Degree(3, -1) if key.mode == "minor" else Degree(3)
    return _step(chord, key) == 0 and chord.third == third


def _cadences(chords: list[Chord], key: Key) -> float:
    """Return the share of the changes of chord, the last to the first included, that cadence."""
    found = 0
    for one, other in pairwise((*chords, chords[0])):
        steps = _step(one, key), _step(other, key)
        to_tonic = steps == (7, 0) and _is_tonic(other, key)
        to_dominant = steps == (2, 7) and kind(one) == _SECOND[key.mode]
        found += kind(one if to_tonic else other) == "dominant" and (to_tonic or to_dominant)
    return found / len(chords)
