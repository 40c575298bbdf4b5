"""Chromatic warm-ups: the four fingers in an order, string after string.

Conventions: a pattern is the order of the fingers, each on its own fret of the position. It goes
from the last string over to the first, and comes back backwards; where the hand is to travel, each
crossing lies one fret further up. Notes are written sharp on the way over and flat on the way back.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import permutations
from typing import Final

from chartkit.errors import RequestError
from chartkit.guitar.fretboard import FINGERS, Tuning, check_position, numeral, pitch_at
from chartkit.guitar.hand import Grip
from chartkit.instrument import Instrument
from chartkit.technique.passage import FEEL, Group, Passage, Step
from chartkit.technique.routine import Routine, routine
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName, Pitch, degrees
from chartkit.theory.scale import Scale

PATTERNS: Final = tuple(permutations(range(1, FINGERS + 1)))
"""Every order of the four fingers, 1-2-3-4 first."""

C: Final = NoteName("C")
SHARPS: Final = Scale("chromatic", C, degrees("1 #1 2 #2 3 4 #4 5 #5 6 #6 7"))
FLATS: Final = Scale("chromatic", C, degrees("1 b2 2 b3 3 4 b5 5 b6 6 b7 7"))


def warm_up(
    patterns: Sequence[tuple[int, ...]],
    instrument: Instrument,
    first: int,
    last: int | None = None,
    value: Fraction = Fraction(1, 2),
    *,
    feel: str = FEEL,
) -> Routine:
    """Return finger patterns across the strings.

    Parameters
    ----------
    patterns : sequence of tuple of int
        At least one; fingers 1-4 in some order.
    instrument : Instrument
        With frets.
    first : int
        The position.
    last : int, optional
        The position to travel to, further up; over and back in the first one by default.
    value : Fraction
        Length of a note in quarter notes.
    feel : str
        A name of `chartkit.feel.FEELS`.

    Raises
    ------
    RequestError
        The instrument has no frets or no such position.
    """
    if not instrument.tuning:
        raise RequestError(f"finger patterns need frets; the {instrument.name} has none")
    positions = _positions(instrument.tuning, first, last)
    passages = [_passage(pattern, positions, instrument.tuning) for pattern in patterns]
    travels = f" to {numeral(last)}" if last else ""
    place = f"position {numeral(first)}{travels}"
    return routine("Chromatic warm-up", place, instrument, passages, value, feel=feel)


def _positions(tuning: Tuning, first: int, last: int | None) -> Sequence[int]:
    """Return where the hand stands for each crossing."""
    check_position(tuning, first)
    if last is None:
        return (first, first)
    check_position(tuning, last)
    if last <= first:
        raise RequestError(f"a warm-up travels up the neck: {numeral(first)} to a higher position")
    return range(first, last + 1)


def _passage(pattern: tuple[int, ...], positions: Sequence[int], tuning: Tuning) -> Passage:
    groups = (
        group
        for crossing, position in enumerate(positions)
        for group in _crossing(pattern, position, tuning, over=crossing % 2 == 0)
    )
    return Passage("-".join(map(str, pattern)), Key(C), SHARPS, tuple(groups))


def _crossing(
    pattern: tuple[int, ...], position: int, tuning: Tuning, *, over: bool
) -> Iterator[Group]:
    strings, fingers, scale = (
        (tuning.strings[::-1], pattern, SHARPS) if over else (tuning.strings, pattern[::-1], FLATS)
    )
    for string in strings:
        grips = [Grip(position, position + f - 1, string, f) for f in fingers]
        yield Group(tuple(_step(grip, tuning, scale) for grip in grips))


def _step(grip: Grip, tuning: Tuning, scale: Scale) -> Step:
    midi = pitch_at(tuning, grip.string, grip.fret)
    return Step(Pitch.at(scale.tones[midi % 12], midi), grip)
