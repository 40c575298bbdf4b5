"""The chords of a scale along the neck: on one set of strings, each broken up, up and down.

Conventions: every chord has the same tone lowest. Most kinds are shapes, one note a string, held
under the hand while they are broken up. A seventh in close position is more than a hand can always
hold, so sevenths are lines, their lowest notes within reach on the lowest string of the set. The
way goes from the tonic's chord up to the same an octave higher, where that stays below `FARTHEST`,
else from the lowest chord on the neck as far up. Going up, chords are played from their lowest
note, going down from their highest.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from chartkit.errors import CannotPlay, RequestError
from chartkit.guitar.fretboard import Tuning, check_strings, pitch_at
from chartkit.guitar.hand import Grip
from chartkit.guitar.shapes import Shape, voiced
from chartkit.instrument import Instrument
from chartkit.technique.diatonic import Family, diatonic_chord, scale_of
from chartkit.technique.passage import FEEL, Group, Passage, Step
from chartkit.technique.routine import Routine, routine
from chartkit.theory.chord import Chord
from chartkit.theory.key import Key
from chartkit.theory.pitch import Pitch
from chartkit.theory.scale import Scale
from chartkit.theory.symbol import write_symbol

OCTAVE: Final = 7
"""Steps of a scale."""

FARTHEST: Final = 17
"""The highest fret that chords are asked for where the key leaves a choice: five past a guitar's
body [common practice, no source]."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of chord to practise.

    Parameters
    ----------
    name : str
    voicing : str or None
        Of `chartkit.guitar.shapes.VOICINGS`; None for a line in close position.
    tones : int
        Of the diatonic chord: 3 for a triad, 4 for a seventh.
    strings : tuple of int
        Where it commonly lies on six strings, the lowest-sounding first.
    value : Fraction
        Length of a note in quarter notes, so that chords begin on beats.
    """

    name: str
    voicing: str | None
    tones: int
    strings: tuple[int, ...]
    value: Fraction


KINDS: Final = {
    kind.name: kind
    for kind in (
        Kind("triads", "triad", 3, (3, 2, 1), Fraction(1, 3)),
        Kind("sevenths", None, 4, (4, 3, 2), Fraction(1, 2)),
        Kind("drop-2", "drop 2", 4, (4, 3, 2, 1), Fraction(1, 2)),
        Kind("drop-3", "drop 3", 4, (6, 4, 3, 2), Fraction(1, 2)),
        Kind("shells", "shell", 4, (6, 4, 3), Fraction(1, 3)),
    )
}
"""Every kind by name."""

LOWEST: Final = {"root": 1, "third": 3, "fifth": 5, "seventh": 7}
"""What may lie lowest, and its degree's number."""

LOWEST_NUMBERS: Final = tuple(LOWEST.values())


@dataclass(frozen=True, slots=True)
class Lay:
    """How chords lie: their kind, strings, number of the degree that is lowest, and the neck."""

    kind: Kind
    strings: tuple[int, ...]
    lowest: int
    tuning: Tuning


@dataclass(frozen=True, slots=True)
class Placed:
    """A chord of the scale and its notes on the neck, lowest first."""

    step: int
    chord: Chord
    notes: tuple[Step, ...]
    highest_fret: int


def chords(
    keys: Sequence[Key],
    family: Family,
    kind: Kind,
    instrument: Instrument,
    *,
    strings: Sequence[int] | None = None,
    lowest: str = "root",
    value: Fraction | None = None,
    feel: str = FEEL,
) -> Routine:
    """Return each key's chords along the neck.

    Parameters
    ----------
    keys : sequence of Key
        At least one, in the family's mode.
    family : Family
    kind : Kind
    instrument : Instrument
        With frets.
    strings : sequence of int, optional
        As many as a shape has voices; the kind's own by default.
    lowest : str
        A name of `LOWEST`.
    value : Fraction, optional
        Length of a note in quarter notes; the kind's own by default.
    feel : str
        A name of `chartkit.feel.FEELS`.

    Raises
    ------
    RequestError
        The instrument has no frets, or the strings are not so many or not there.
    CannotPlay
        A chord has no such shape on these strings.
    """
    if not instrument.tuning:
        raise RequestError(f"chord shapes need frets; the {instrument.name} has none")
    chosen = _strings(kind, strings, instrument.tuning)
    lay = Lay(kind, chosen, LOWEST[lowest], instrument.tuning)
    passages = [_passage(key, scale_of(key, family), lay) for key in keys]
    title = f"{family.name.capitalize()}: {kind.name.replace('-', ' ')} along the neck"
    place = f"strings {_joined(chosen)}, {lowest} lowest"
    length = value or kind.value
    return routine(title, place, instrument, passages, length, strings=chosen, feel=feel)


def along_the_neck(scale: Scale, lay: Lay) -> list[Placed]:
    """Return every chord of a scale in its place, from low on the neck to high.

    Raises
    ------
    CannotPlay
        A chord has no such shape on these strings.
    """
    place = _shapes if lay.kind.voicing else _runs
    found = [placed for step in range(OCTAVE) for placed in place(scale, step, lay)]
    return sorted(found, key=lambda placed: placed.notes[0].pitch.midi)


def _shapes(scale: Scale, step: int, lay: Lay) -> Iterator[Placed]:
    """Yield a chord in its shapes, one an octave; of two on one lowest note the narrower."""
    chord = diatonic_chord(scale, step, lay.kind.tones)
    name = write_symbol(chord)
    by_note: dict[int, Shape] = {}
    for shape in voiced(name, chord, lay.kind.voicing or "", lay.strings, lay.tuning):
        first = shape.marks[0]
        if first.degree.number == lay.lowest:
            same = by_note.get(first.pitch.midi, shape)
            by_note[first.pitch.midi] = min(same, shape, key=lambda one: len(one.frets))
    if not by_note:
        raise CannotPlay(
            f"{name} has no {lay.kind.voicing} shape on strings {_joined(lay.strings)} "
            "with that tone lowest; choose other strings or another lowest tone"
        )
    for shape in by_note.values():
        yield Placed(step, chord, _held(scale, shape), shape.frets[-1])


def _held(scale: Scale, shape: Shape) -> tuple[Step, ...]:
    """Return a shape's notes under one hand, spelled as in the scale."""
    hand = shape.frets[0]
    return tuple(
        Step(_spelled(scale, mark.pitch.midi), Grip(hand, mark.fret, mark.string, mark.finger or 0))
        for mark in shape.marks
    )


def _runs(scale: Scale, step: int, lay: Lay) -> Iterator[Placed]:
    """Yield a chord in close position from each of its lowest notes on the lowest string."""
    chord = diatonic_chord(scale, step, lay.kind.tones)
    first = LOWEST_NUMBERS.index(lay.lowest)
    names = chord.tones[first:] + chord.tones[:first]
    for fret in range(1, lay.tuning.frets + 1):
        low = pitch_at(lay.tuning, lay.strings[0], fret)
        if low % 12 == names[0].pitch_class:
            above = [low + (name.pitch_class - low) % 12 for name in names]
            yield Placed(step, chord, tuple(Step(_spelled(scale, midi)) for midi in above), fret)


def _spelled(scale: Scale, midi: int) -> Pitch:
    name = next(name for name in scale.tones if name.pitch_class == midi % 12)
    return Pitch.at(name, midi)


def _strings(kind: Kind, asked: Sequence[int] | None, tuning: Tuning) -> tuple[int, ...]:
    chosen = tuple(sorted(set(asked or kind.strings), reverse=True))
    if kind.voicing and len(chosen) != len(kind.strings):
        raise RequestError(f"{kind.name.replace('-', ' ')} take {len(kind.strings)} strings")
    check_strings(tuning, chosen)
    return chosen


def _joined(strings: Sequence[int]) -> str:
    return "-".join(map(str, strings))


def _passage(key: Key, scale: Scale, lay: Lay) -> Passage:
    ladder = along_the_neck(scale, lay)
    octaves = enumerate(zip(ladder, ladder[OCTAVE:], strict=False))
    tonics = (n for n, (low, high) in octaves if low.step == 0 and high.highest_fret <= FARTHEST)
    first = next(tonics, 0)
    up = ladder[first : first + OCTAVE + 1]
    groups = (
        *(Group(placed.notes, placed.chord) for placed in up),
        *(Group(placed.notes[::-1], placed.chord) for placed in up[-2::-1]),
    )
    return Passage(str(key), key, scale, groups)
