"""Chords as a hand plays them: every voicing in a range, and how far voices move between two.

Conventions: a voicing is three or four MIDI pitches, lowest first. It is computed from the chord's
degrees alone, so any chord that can be written can be voiced:

- third (fourth or second in a suspension), seventh (or sixth) and an altered fifth are always
  there; a chord without a seventh has its root or fifth in that place, one without a third both;
- written tensions come next; then the plain fifth, colour from the chord scale, and the root;
- a plain fifth gives way to a tension a semitone from it (b13, #11) and, where there is a seventh,
  to the thirteenth;
- no interval under a minor third whose lower note is below E3, no minor ninth between any two
  voices, no semitone between the two highest, no two tensions of one number;
- a hand reaches a tenth.

All of this is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import combinations, combinations_with_replacement, pairwise, product
from operator import sub
from typing import Final

from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree
from chartkit.theory.scale import Scale

RANGE: Final = (48, 72)
"""Where chords lie unless asked otherwise: C3 to C5."""

REACH: Final = 16
"""The widest interval of a hand in semitones, a major tenth."""

MUDDY_BELOW: Final = 52
"""Under E3 seconds only rumble."""

CLEAR: Final = 3
"""The smallest interval there, in semitones: a minor third."""

MINOR_NINTH: Final = 13

ROOT: Final = Degree(1)
MAJOR_THIRD: Final = Degree(3)
MINOR_THIRD: Final = Degree(3, -1)
PLAIN_FIFTH: Final = Degree(5)
MINOR_SEVENTH: Final = Degree(7, -1)
DIMINISHED_SEVENTH: Final = Degree(7, -2)
THIRTEENTH: Final = Degree(13)

OCTAVE: Final = 7
"""Degrees numbered above it are tensions."""

BESIDE_FIFTH: Final = (18, 20)
"""Semitones of the tensions that lie a semitone from a fifth: #11 and b13."""

FEWEST, MOST = 3, 4
"""Voices in a voicing."""


@dataclass(frozen=True, slots=True)
class Voicing:
    """Pitches that sound a chord.

    Parameters
    ----------
    pitches : tuple of int
        MIDI note numbers, rising.
    degrees : tuple of Degree
        What each pitch is to the chord's root, in the same order.
    """

    pitches: tuple[int, ...]
    degrees: tuple[Degree, ...]

    @property
    def top(self) -> int:
        """The highest pitch, which the ear follows."""
        return self.pitches[-1]


@lru_cache(maxsize=4096)
def voicings(
    chord: Chord,
    low: int = RANGE[0],
    high: int = RANGE[1],
    *,
    rootless: bool = True,
    scale: Scale | None = None,
) -> tuple[Voicing, ...]:
    """Return every playable voicing of a chord within a range, in order of pitches.

    Parameters
    ----------
    chord : Chord
    low, high : int
        MIDI note numbers, both included.
    rootless : bool
        A bass plays the root: leave it out wherever three other tones are left. A slash bass takes
        another note, so the root stays allowed over it.
    scale : Scale or None
        With the chord scale given, a chord with a seventh or sixth may take an unwritten ninth and
        thirteenth from it, a minor seventh an eleventh; a diminished seventh takes none.

    Returns
    -------
    tuple of Voicing
        Empty where the range has no room for the chord.
    """
    chosen = (
        selection
        for size in (FEWEST, MOST)
        for selection in selections(chord, size, rootless=rootless, scale=scale)
    )
    found = {
        voicing
        for selection in chosen
        for voicing in _placed(selection, chord.root.pitch_class, low, high)
        if is_playable(voicing.pitches)
    }
    return tuple(sorted(found, key=lambda voicing: (voicing.pitches, str(voicing.degrees))))


def selections(
    chord: Chord, size: int, *, rootless: bool = True, scale: Scale | None = None
) -> Iterator[tuple[Degree, ...]]:
    """Yield the sets of degrees, `size` of them, that stand for the chord.

    Parameters are those of `voicings`.
    """
    plain = _plain(chord, rootless=rootless)
    for guides in _guides(chord, plain):
        tensions = _tensions(chord, guides)
        added = [*(degree for degree in plain if degree not in guides), *_colours(chord, scale)]
        if len(guides) + len(tensions) + len(added) < FEWEST:
            added = [*guides]  # two notes are all there is, so that one comes twice
        written = min(size - len(guides), len(tensions))
        ways = product(
            combinations(tensions, written), combinations(added, size - len(guides) - written)
        )
        for some, others in ways:
            selection = (*guides, *some, *others)
            if (written or not tensions) and not _clash(chord, selection):
                yield selection


def is_playable(pitches: tuple[int, ...], reach: int = REACH) -> bool:
    """Tell whether rising pitches lie well in the hand and sound clear.

    Parameters
    ----------
    pitches : tuple of int
        MIDI note numbers, rising.
    reach : int
        The widest the hand stretches, in semitones.
    """
    return (
        pitches[-1] - pitches[0] <= reach
        and pitches[-1] - pitches[-2] > 1
        and all(a < b for a, b in pairwise(pitches))
        and all(b - a >= CLEAR for a, b in pairwise(pitches) if a < MUDDY_BELOW)
        and all(b - a != MINOR_NINTH for a, b in combinations(pitches, 2))
    )


def movement(before: tuple[int, ...], after: tuple[int, ...]) -> int:
    """Return how many semitones all voices move together, each to its own next note.

    Voices do not cross, which is never more than any crossing would cost. Where one chord has
    fewer voices, one of them splits (or two meet), at the least cost.

    Parameters
    ----------
    before, after : tuple of int
        Rising MIDI note numbers, at least one each.

    References
    ----------
    D. Tymoczko, "The Geometry of Musical Chords", Science 313 (2006), supplement: minimal voice
    leadings need no crossings.

    >>> movement((53, 57, 60, 64), (53, 57, 59, 64))
    1
    """
    few, many = sorted((before, after), key=len)
    ways: list[int] = [sum(map(abs, map(sub, way, many))) for way in _padded(few, len(many))]
    return min(ways)


@cache
def _padded(pitches: tuple[int, ...], size: int) -> tuple[tuple[int, ...], ...]:
    """Return the ways to give some voices twice so that there are `size`."""
    doubled = combinations_with_replacement(pitches, size - len(pitches))
    return tuple(tuple(sorted(pitches + extra)) for extra in doubled)


def _guides(chord: Chord, plain: tuple[Degree, ...]) -> list[tuple[Degree, ...]]:
    """Return the tones the chord is never without: third, seventh, and a fifth that is altered.

    Where it has neither seventh nor altered fifth, one of the plain tones stands in; a chord
    without a third has them all.
    """
    fifth = None if chord.fifth == PLAIN_FIFTH else chord.fifth
    own = tuple(degree for degree in (chord.third, fifth, chord.seventh) if degree is not None)
    if chord.third is None:
        return [(*own, *plain)]
    if fifth or chord.seventh:
        return [own]
    return [(*own, degree) for degree in plain or (ROOT,)]


def _tensions(chord: Chord, guides: tuple[Degree, ...]) -> list[Degree]:
    """Return the written tensions that say something new."""
    heard = {degree.semitones % 12 for degree in guides}
    return [
        degree
        for degree in chord.degrees
        if _is_tension(chord, degree) and degree.semitones % 12 not in heard
    ]


def _is_tension(chord: Chord, degree: Degree) -> bool:
    return degree not in (ROOT, chord.third, chord.fifth, chord.seventh)


def _plain(chord: Chord, *, rootless: bool) -> tuple[Degree, ...]:
    """Return the tones that are dropped first: the plain fifth, and the root if it may sound."""
    fifth = () if _lacks_fifth(chord, chord.degrees) else (PLAIN_FIFTH,)
    others = sum(degree not in (ROOT, PLAIN_FIFTH) for degree in chord.degrees) + len(fifth)
    over_root = chord.lowest.pitch_class == chord.root.pitch_class
    enough = chord.third is not None and others >= FEWEST
    return fifth if rootless and over_root and enough else (*fifth, ROOT)


def _colours(chord: Chord, scale: Scale | None) -> tuple[Degree, ...]:
    """Return unwritten ninths, elevenths and thirteenths that the chord scale offers."""
    if scale is None or chord.third is None or chord.seventh in (None, DIMINISHED_SEVENTH):
        return ()
    above = 6 if chord.third != MINOR_THIRD else 4 if chord.seventh == MINOR_SEVENTH else 2
    taken = {degree.number % 7 for degree in chord.degrees}
    return tuple(
        Degree(degree.number + 7, degree.alter)
        for degree in scale.degrees
        if degree.number in (2, above) and degree.number not in taken and _is_free(chord, degree)
    )


def _is_free(chord: Chord, degree: Degree) -> bool:
    """Tell whether a scale tone may be added: never a semitone over a third, sixth or seventh.

    Over root or fifth it may only in a dominant chord (b9, b13).
    """
    is_dominant = chord.third == MAJOR_THIRD and chord.seventh == MINOR_SEVENTH
    below = (degree.semitones - 1) % 12
    return not any(
        below == tone.semitones % 12 and not (is_dominant and tone in (ROOT, PLAIN_FIFTH))
        for tone in chord.degrees
    )


def _clash(chord: Chord, selection: tuple[Degree, ...]) -> bool:
    """Tell whether a plain fifth is in a tension's way, or two tensions have one number."""
    numbers = [degree.number for degree in selection if _is_tension(chord, degree)]
    crowded = PLAIN_FIFTH in selection and _lacks_fifth(chord, selection)
    return crowded or len(set(numbers)) < len(numbers)


def _lacks_fifth(chord: Chord, degrees: Iterable[Degree]) -> bool:
    """Tell whether the chord has no plain fifth, or one of these tensions takes its place.

    No tension takes it from a chord without a third.
    """
    if PLAIN_FIFTH not in chord.degrees:
        return True
    return chord.third is not None and any(
        degree.number > OCTAVE
        and (degree.semitones in BESIDE_FIFTH or (degree == THIRTEENTH and chord.seventh))
        for degree in degrees
    )


def _placed(selection: tuple[Degree, ...], root: int, low: int, high: int) -> Iterator[Voicing]:
    """Every way to lay a selection out in a range, lowest voice first."""
    choices = [
        [
            (pitch, degree)
            for pitch in range(low, high + 1)
            if (pitch - root - degree.semitones) % 12 == 0
        ]
        for degree in selection
    ]
    for placed in product(*choices):
        pitches, degrees = zip(*sorted(placed, key=lambda voice: voice[0]), strict=True)
        yield Voicing(pitches, degrees)
