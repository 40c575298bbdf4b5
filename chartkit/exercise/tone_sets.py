"""Which tones of a chord a line uses, by name.

Conventions: K is a chord's root, third (fourth if suspended), fifth as written, and seventh or
sixth, where it has them (`Chord.essential`); tensions and a slash bass are left out. Degrees are
returned rising from the first one of the set. Where an altered dominant has no fifth its flat
thirteen stands for it.

3-5-7-9 starts on the third. Its ninth is the one that the symbol writes, flat where it writes both;
failing that it is flat on the V of a minor key or chord, and natural elsewhere, on the iii and on
half-diminished chords too. A sixth stands for the seventh; over a triad it is the scale's.
[common practice, no source]
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from typing import Final, NamedTuple

from chartkit.errors import CannotPlay
from chartkit.exercise.tones import ROLES, bar_words
from chartkit.harmony import Span
from chartkit.line_options import Tones
from chartkit.study.standing import standings, surroundings
from chartkit.theory.chord import Chord
from chartkit.theory.chord_scale import kind
from chartkit.theory.pitch import Degree

ToneSets = Mapping[Fraction, tuple[Degree, ...]]
"""Degrees by the beat that their span starts on."""


class _Place(NamedTuple):
    """A chord where it stands; `goal` is the next chord on another root."""

    span: Span
    chord: Chord
    goal: Chord | None


def tone_sets(spans: Sequence[Span], tones: Tones) -> ToneSets:
    """Return the degrees that a line uses over each span; the end leads into the beginning.

    Raises
    ------
    CannotPlay
        A chord lacks a tone of the set.
    """
    chords = standings(spans, loop=True)
    return {
        spans[index].start: _SETS[tones](_Place(spans[index], chord, around.goal))
        for standing, around in zip(chords, surroundings(chords, loop=True), strict=True)
        for index in standing.spans
        if (chord := spans[index].chord)
    }


def first_role(sets: ToneSets) -> str:
    """Return what the first tone of the first chord's set is to its chord."""
    return ROLES[sets[min(sets)][0].number]


def fifth_of(chord: Chord) -> Degree | None:
    """Return the fifth as written, or the flat thirteen that stands for it."""
    return chord.fifth or next((d for d in chord.essential if d == Degree(13, -1)), None)


def rising(degrees: Sequence[Degree]) -> tuple[Degree, ...]:
    """Return degrees in the order in which they lie above the root within the octave."""
    return tuple(sorted(degrees, key=lambda degree: degree.semitones % 12))


def _sevenths(place: _Place) -> tuple[Degree, ...]:
    return rising(place.chord.essential)


def _triad(place: _Place) -> tuple[Degree, ...]:
    chord = place.chord
    return rising([d for d in (Degree(1), chord.third, fifth_of(chord)) if d])


def _upper(place: _Place) -> tuple[Degree, ...]:
    chord = place.chord
    third, fifth, seventh = chord.third, fifth_of(chord), chord.seventh or _scale_seventh(place)
    if not third or not fifth or not seventh:
        missing = "third" if not third else "fifth" if not fifth else "seventh"
        raise CannotPlay(f"{bar_words(place.span, chord)} has no {missing} for 3-5-7-9")
    return third, fifth, seventh, _ninth(place)


def _scale_seventh(place: _Place) -> Degree | None:
    steps = place.span.scale.degrees if place.span.scale else ()
    return next((step for step in steps if step.number == 7), None)  # noqa: PLR2004 (a seventh)


def _ninth(place: _Place) -> Degree:
    flat, natural, sharp = Degree(9, -1), Degree(9), Degree(9, 1)
    written = place.chord.degrees
    if flat in written:
        return flat
    if natural in written:
        return natural
    if _is_five_of_minor(place):
        return flat
    return sharp if sharp in written else natural


def _is_five_of_minor(place: _Place) -> bool:
    """Tell whether a chord is the dominant of the minor chord it goes to, or of its minor key."""
    chord, goal, key = place.chord, place.goal, place.span.key
    if kind(chord) != "dominant":
        return False
    if goal and _up(chord.root.pitch_class, goal.root.pitch_class) == _FOURTH:
        return goal.third == Degree(3, -1)
    return key.mode == "minor" and _up(chord.root.pitch_class, key.tonic.pitch_class) == _FOURTH


_FOURTH: Final = 5


def _up(one: int, other: int) -> int:
    return (other - one) % 12


_SETS: Final[Mapping[Tones, Callable[[_Place], tuple[Degree, ...]]]] = {
    "sevenths": _sevenths,
    "triads": _triad,
    "3-5-7-9": _upper,
}
