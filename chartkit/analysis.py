"""What key the changes are in.

Method (our own weighing of common signs; no source): every one of the 24 keys is scored by

- fit: how many of the chords' tones lie in the key's scale, each chord counting by its length; a
  minor key here has both sevenths;
- home: the share of time spent on the tonic chord, minor by its minor third, else major (so a
  dominant seventh is a major tonic, as in a blues);
- cadence: the share of all changes of chord that are V-I, or ii-V, in the key;
- ends: the last chord, and the first one, are the tonic chord.

The last chord is taken to lead to the first one, because choruses and loops go round. The weights
were chosen on the progressions in the tests.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import groupby, pairwise
from typing import Final

from chartkit.theory.chord import Chord
from chartkit.theory.chord_scale import Kind, kind
from chartkit.theory.key import Key, Mode
from chartkit.theory.pitch import Degree

Home = tuple[int, Mode]
"""A key by its sound: the tonic's pitch class and the mode."""

WEIGHTS: Final = {"fit": 4.0, "home": 1.0, "cadence": 1.5, "last": 0.5, "first": 0.4}
"""How much each sign counts; each sign lies between 0 and 1."""

_STEPS: Final[dict[Mode, frozenset[int]]] = {
    "major": frozenset({0, 2, 4, 5, 7, 9, 11}),
    "minor": frozenset({0, 2, 3, 5, 7, 8, 10, 11}),
}
_HOMES: Final[tuple[Home, ...]] = tuple((tonic, mode) for mode in _STEPS for tonic in range(12))
_SECOND: Final[dict[Kind, Mode]] = {"minor": "major", "half-diminished": "minor"}
"""The mode of the key in which a chord of this kind is the ii."""


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
    scores = _scores(played) if played else dict.fromkeys(_HOMES, 0.0)
    return Key.written(*max(_HOMES, key=scores.__getitem__))


def _scores(changes: tuple[tuple[Chord, Fraction], ...]) -> dict[Home, float]:
    """Add up the weighted signs for every key."""
    chords = [chord for chord, _ in groupby(chord for chord, _ in changes)]
    shares = _shares(changes)
    scores = {
        home: WEIGHTS["fit"] * sum(share * _fit(chord, home) for chord, share in shares.items())
        for home in _HOMES
    }
    for chord, share in shares.items():
        scores[_home(chord)] += WEIGHTS["home"] * share
    for home in _cadences(chords):
        scores[home] += WEIGHTS["cadence"] / len(chords)
    scores[_home(chords[-1])] += WEIGHTS["last"]
    scores[_home(chords[0])] += WEIGHTS["first"]
    return scores


def _shares(changes: tuple[tuple[Chord, Fraction], ...]) -> dict[Chord, float]:
    """Return each chord's share of the whole time."""
    lengths: defaultdict[Chord, Fraction] = defaultdict(Fraction)
    for chord, length in changes:
        lengths[chord] += length
    total = sum(lengths.values())
    return {chord: float(length / total) for chord, length in lengths.items()}


def _fit(chord: Chord, home: Home) -> float:
    """Return the share of the chord's tones that lie in the key."""
    tonic, mode = home
    classes = chord.pitch_classes
    return sum((tone - tonic) % 12 in _STEPS[mode] for tone in classes) / len(classes)


def _home(chord: Chord) -> Home:
    """Return the key whose tonic chord this is."""
    return chord.root.pitch_class, "minor" if chord.third == Degree(3, -1) else "major"


def _cadences(chords: list[Chord]) -> Iterator[Home]:
    """Go through the changes of chord, last to first included, and name the key of each cadence."""
    for one, other in pairwise((*chords, chords[0])):
        if (other.root.pitch_class - one.root.pitch_class) % 12 != 5:  # noqa: PLR2004 (a fourth)
            continue
        if kind(one) == "dominant":
            yield _home(other)
        elif kind(other) == "dominant" and kind(one) in _SECOND:
            yield (other.root.pitch_class + 5) % 12, _SECOND[kind(one)]
