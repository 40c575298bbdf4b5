"""Scales in one place, and an exercise on each, key after key."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from chartkit.errors import CannotPlay
from chartkit.guitar.fretboard import numeral
from chartkit.guitar.hand import Grip
from chartkit.guitar.shapes import Mark, Shape, in_position, three_to_a_string
from chartkit.instrument import Instrument
from chartkit.technique.diatonic import Family, diatonic_chord, scale_of
from chartkit.technique.figures import SCALE, Figure, way
from chartkit.technique.passage import FEEL, Group, Passage, Step
from chartkit.technique.routine import Routine, routine
from chartkit.theory.key import Key
from chartkit.theory.pitch import Pitch
from chartkit.theory.scale import Scale


@dataclass(frozen=True, slots=True)
class Where:
    """Where a scale is played.

    Parameters
    ----------
    position : int or None
        On a fretted instrument; None for three notes on each string from the lowest tonic.
    low, high : int
        MIDI notes, both included, on an instrument without frets.
    """

    position: int | None
    low: int
    high: int


def scales(
    keys: Sequence[Key],
    family: Family,
    figure: Figure,
    instrument: Instrument,
    where: Where,
    *,
    value: Fraction = Fraction(1, 2),
    feel: str = FEEL,
    figured: int | None = None,
) -> Routine:
    """Return each key's scale, up and down the whole place, and then a figure on each of its notes.

    Parameters
    ----------
    keys : sequence of Key
        At least one, in the family's mode.
    family : Family
    figure : Figure
        `SCALE` leaves it at the scale.
    instrument : Instrument
    where : Where
    value : Fraction
        Length of a note in quarter notes.
    feel : str
        A name of `chartkit.feel.FEELS`.
    figured : int, optional
        So many of the keys, from the first, have the figure; all by default.

    Raises
    ------
    CannotPlay
        A scale or its figure does not fit there.
    RequestError
        There is no such position.
    """
    count = len(keys) if figured is None else figured
    passages = [
        passage
        for number, key in enumerate(keys)
        for passage in _passages(
            key, scale_of(key, family), figure if number < count else SCALE, instrument, where
        )
    ]
    exercise = "" if figure == SCALE or not count else f" and {figure.name.replace('-', ' ')}"
    title = f"{family.name.capitalize()} scales{exercise}"
    return routine(title, _place(instrument, where), instrument, passages, value, feel=feel)


def _place(instrument: Instrument, where: Where) -> str:
    if not instrument.tuning:
        return "keys by their sound" if instrument.transposition % 12 else ""
    if where.position is None:
        return "three notes a string"
    return f"position {numeral(where.position)}"


def _passages(
    key: Key, scale: Scale, figure: Figure, instrument: Instrument, where: Where
) -> Iterator[Passage]:
    ladder = _ladder(scale, instrument, where)
    yield Passage(str(key), key, scale, tuple(_groups(key, scale, SCALE, ladder)))
    if figure != SCALE:
        label = figure.name.replace("-", " ")
        yield Passage(label, key, scale, tuple(_groups(key, scale, figure, ladder)))


def _ladder(scale: Scale, instrument: Instrument, where: Where) -> list[Step]:
    """Return the notes of a scale in a place, lowest first."""
    name = f"{scale.root} {scale.name}"
    if not instrument.tuning:
        return [Step(pitch) for pitch in _between(scale, where.low, where.high)]
    if where.position is not None:
        shape = in_position(name, scale, where.position, instrument.tuning)
        return _steps(shape.marks, where.position)
    lowest = min(instrument.tuning.open_strings) + 1
    tonic = lowest + (scale.root.pitch_class - lowest) % 12
    return _by_string(three_to_a_string(name, scale, tonic, instrument.tuning))


def _between(scale: Scale, low: int, high: int) -> list[Pitch]:
    names = {name.pitch_class: name for name in scale.tones}
    return [Pitch.at(names[m % 12], m) for m in range(low, high + 1) if m % 12 in names]


def _steps(marks: Iterable[Mark], position: int) -> list[Step]:
    return [
        Step(mark.pitch, Grip(position, mark.fret, mark.string, mark.finger or 0)) for mark in marks
    ]


def _by_string(shape: Shape) -> list[Step]:
    """Return a shape's notes; the hand stands at the lowest fret of each string's."""
    rows = (tuple(row) for _, row in groupby(shape.marks, lambda mark: mark.string))
    return [step for row in rows for step in _steps(row, row[0].fret)]


def _groups(key: Key, scale: Scale, figure: Figure, ladder: Sequence[Step]) -> Iterator[Group]:
    """Yield a figure's way through a ladder, a chord over each one that breaks up a chord."""
    tonic = next((n for n, s in enumerate(ladder) if s.pitch.name == scale.root), len(ladder))
    if tonic + figure.span >= len(ladder):
        raise CannotPlay(
            f"{key}: {figure.name} do not fit between the lowest tonic here and the highest note; "
            "choose another place or another figure"
        )
    for played in way(figure, len(ladder), tonic):
        chord = (
            diatonic_chord(scale, played.start - tonic, len(figure.numbers))
            if figure.breaks_a_chord
            else None
        )
        yield Group(tuple(ladder[index] for index in played.indices), chord)
