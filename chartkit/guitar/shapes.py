"""Scale, arpeggio and chord shapes anywhere on the neck, computed: what a diagram draws.

Conventions: a shape's marks stand in rising order of sound. What is laid out is anything with a
root and degrees, a `Scale` or a `Chord`. A shape in a position reaches from the lowest to the
highest of its notes that need no stretch (see `chartkit.guitar.fretboard.stretches`), fingered as
a line up the shape is fingered; where strings lie so far apart that notes are missing, it begins
above the last of them. A chord shape is held down at once, one note a string, no string
open, so that it can be moved.

Source: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Protocol

from chartkit.errors import CannotPlay
from chartkit.guitar.fingering import finger_up
from chartkit.guitar.fretboard import (
    FINGERS,
    STANDARD,
    Place,
    Tuning,
    check_position,
    compass,
    per_string,
    pitch_at,
    places,
    window,
)
from chartkit.guitar.grasp import grasp
from chartkit.guitar.shape import shapes
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree, NoteName, Pitch


class Rooted(Protocol):
    """A root and the degrees over it: a `Scale` or a `Chord`."""

    @property
    def root(self) -> NoteName:
        """What the degrees are counted from."""

    @property
    def degrees(self) -> tuple[Degree, ...]:
        """Degrees over the root."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A note of a shape.

    Parameters
    ----------
    string, fret : int
    finger : int or None
        1-4, 0 on an open string; None where the shape does not tell.
    degree : Degree
        What it is to the root.
    pitch : Pitch
        As it sounds, spelled by the degree.
    """

    string: int
    fret: int
    finger: int | None
    degree: Degree
    pitch: Pitch

    @property
    def place(self) -> Place:
        """String and fret."""
        return self.string, self.fret


@dataclass(frozen=True, slots=True)
class Shape:
    """Marks on a neck, in rising order of sound.

    Parameters
    ----------
    name : str
    tuning : Tuning
    marks : tuple of Mark
        At least one.
    """

    name: str
    tuning: Tuning
    marks: tuple[Mark, ...]

    @property
    def frets(self) -> range:
        """From the lowest fret of a mark to the highest."""
        frets = [mark.fret for mark in self.marks]
        return range(min(frets), max(frets) + 1)

    @property
    def silent(self) -> tuple[int, ...]:
        """The strings without a mark, 1 (the highest-sounding) first."""
        used = {mark.string for mark in self.marks}
        return tuple(string for string in self.tuning.strings if string not in used)

    @property
    def stretched(self) -> bool:
        """Whether it takes more than four neighbouring frets of one hand."""
        return len([fret for fret in self.frets if fret]) > FINGERS


VOICINGS: Final[dict[str, tuple[tuple[int, ...], ...]]] = {
    "triad": ((0, 1, 2), (1, 2, 0), (2, 0, 1)),
    "drop 2": ((2, 0, 1, 3), (3, 1, 2, 0), (0, 2, 3, 1), (1, 3, 0, 2)),
    "drop 3": ((1, 0, 2, 3), (2, 1, 3, 0), (3, 2, 0, 1), (0, 3, 1, 2)),
    "shell": ((0, 1, 2), (0, 2, 1)),
}
"""By name, the orders of a chord's tones from the lowest voice up; each voice is the nearest above
the one before. A triad and a shell (root, third, seventh) have three tones, the others root, third,
fifth and seventh; of drop 2 and drop 3 that voice from the top lies an octave lower."""


def in_position(name: str, tones: Rooted, position: int, tuning: Tuning = STANDARD) -> Shape:
    """Return a scale or an arpeggio in a position, with fingers.

    Raises
    ------
    RequestError
        There is no such position.
    CannotPlay
        None of its notes lies in the position without a stretch, or one within has no place.
    """
    check_position(tuning, position)
    low, high = compass(tuning, position)
    rising = _rising(tones, low, high)
    four_frets = range(position, position + FINGERS)
    settled = [p for p, _ in rising if places(tuning, p.midi, four_frets)]
    if not settled:
        raise CannotPlay(f"{name} has no note in this position; choose another position")
    inside = [(p, d) for p, d in rising if settled[0].midi <= p.midi <= settled[-1].midi]
    gaps = [n for n, (p, _) in enumerate(inside) if not places(tuning, p.midi, window(position))]
    inside = inside[gaps[-1] + 1 :] if gaps else inside
    stops = finger_up([pitch.midi for pitch, _ in inside], tuning, position)
    marks = (
        Mark(stop.string, stop.fret, stop.finger, degree, pitch)
        for stop, (pitch, degree) in zip(stops, inside, strict=True)
    )
    return Shape(name, tuning, tuple(marks))


def three_to_a_string(name: str, tones: Rooted, low: int, tuning: Tuning = STANDARD) -> Shape:
    """Return a scale with three notes on each string, from its lowest note at or above `low`.

    Raises
    ------
    CannotPlay
        The notes do not lie so on this neck from there.
    """
    count = 3
    rising = _rising(tones, low, compass(tuning)[1])[: count * len(tuning.open_strings)]
    try:
        rows = per_string(tuning, [pitch.midi for pitch, _ in rising], count)
    except ValueError as error:
        raise CannotPlay(f"{name}: {error}; start from another note") from error
    stopped = [(place, finger) for row in rows for place, finger in _three(row)]
    marks = (
        Mark(*place, finger, degree, pitch)
        for (place, finger), (pitch, degree) in zip(stopped, rising, strict=True)
    )
    return Shape(name, tuning, tuple(marks))


def over_the_neck(name: str, tones: Rooted, tuning: Tuning = STANDARD) -> Shape:
    """Return every place of a scale's or a chord's notes, without fingers."""
    rising = _rising(tones, *compass(tuning))
    marks = (
        Mark(*place, None, degree, pitch)
        for pitch, degree in rising
        for place in places(tuning, pitch.midi)
    )
    return Shape(name, tuning, tuple(marks))


def voiced(
    name: str, chord: Chord, voicing: str, strings: Sequence[int], tuning: Tuning = STANDARD
) -> tuple[Shape, ...]:
    """Return every shape of a chord in a voicing on some strings, from low on the neck to high.

    Parameters
    ----------
    name : str
    chord : Chord
    voicing : str
        A name of `VOICINGS`.
    strings : sequence of int
        As many as the voicing has voices, in any order.
    tuning : Tuning

    Raises
    ------
    CannotPlay
        The chord has too few tones for the voicing.
    """
    tones = _voices(name, chord, voicing)
    found = [
        shape
        for order in VOICINGS[voicing]
        for shape in _on_strings(name, chord, [tones[i] for i in order], strings, tuning)
    ]
    return tuple(sorted(found, key=lambda shape: [mark.pitch.midi for mark in shape.marks]))


def _rising(tones: Rooted, low: int, high: int) -> list[tuple[Pitch, Degree]]:
    """Return the notes from `low` to `high` with their degrees."""
    by_class = {tones.root.up(degree).pitch_class: degree for degree in reversed(tones.degrees)}
    return [
        (Pitch.at(tones.root.up(by_class[midi % 12]), midi), by_class[midi % 12])
        for midi in range(low, high + 1)
        if midi % 12 in by_class
    ]


def _three(row: tuple[Place, ...]) -> Iterator[tuple[Place, int]]:
    """Yield three places of a string with fingers: the middle one goes to the nearer side."""
    first, middle, last = row
    finger = 2 if middle[1] - first[1] <= last[1] - middle[1] else 3
    yield from zip(row, (1, finger, 4), strict=True)


def _voices(name: str, chord: Chord, voicing: str) -> tuple[Degree, ...]:
    parts = {
        "triad": (Degree(1), chord.third, chord.fifth),
        "shell": (Degree(1), chord.third, chord.seventh),
    }.get(voicing, (Degree(1), chord.third, chord.fifth, chord.seventh))
    degrees = tuple(degree for degree in parts if degree)
    if len(degrees) < len(parts):
        raise CannotPlay(f"{name} has too few tones for a {voicing} shape")
    return degrees


def _on_strings(
    name: str, chord: Chord, degrees: Sequence[Degree], strings: Sequence[int], tuning: Tuning
) -> Iterator[Shape]:
    """Yield the shapes of a chord's tones in one order from the lowest voice up."""
    lowest_string, *_ = wanted = sorted(strings, reverse=True)
    for fret in range(1, tuning.frets + 1):
        pitch = pitch_at(tuning, lowest_string, fret)
        if pitch % 12 != chord.root.up(degrees[0]).pitch_class:
            continue
        pitches = _stacked(pitch, chord, degrees)
        for laid in shapes(tuple(p.midi for p in pitches), tuning):
            if [string for string, _ in laid] == wanted and (fingers := grasp(laid)):
                marks = zip(laid, fingers, degrees, pitches, strict=True)
                yield Shape(name, tuning, tuple(Mark(*at, f, d, p) for at, f, d, p in marks))


def _stacked(lowest: int, chord: Chord, degrees: Sequence[Degree]) -> list[Pitch]:
    """Return pitches from the lowest one up, each the nearest of its name above the one before."""
    pitches: list[Pitch] = []
    midi = lowest
    for degree in degrees:
        name = chord.root.up(degree)
        midi += (name.pitch_class - midi) % 12
        pitches.append(Pitch.at(name, midi))
    return pitches
