"""Lengths of time written as note values, the way a copyist does.

Conventions: times are in quarter notes from the measure's first beat. A point in a measure has a
depth: 0 for its first beat, 1 for its middle, 2 for its other beats, 3 and on for what lies off the
beat. A note may hide a point only if it starts and ends hardly deeper than it, so that the middle
of the measure, and failing that the beat, can always be seen; a rest may hide less than that.

Source: Gould, Behind Bars (2011), "Grouping of note values" and "Rests", from memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from chartkit.chart import Meter
from chartkit.errors import CannotPlay
from chartkit.notate.sheet import NoteValue

MIDDLE: Final = {4: 2, 5: 3, 6: 3, 7: 4}
"""The beat that halves a measure of so many beats, counted from 0."""

LONGEST: Final = Fraction(4)
SHORTEST: Final = Fraction(1, 16)
OFF_BEAT: Final = 3
"""Depth from which a point is off the beat."""

TRIPLET_WINDOWS: Final = tuple(map(Fraction, ("1/2", "1", "2", "4")))
"""Times that three equal notes can share, in quarter notes."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of time that one written value covers."""

    start: Fraction
    value: NoteValue

    @property
    def end(self) -> Fraction:
        """Where it stops."""
        return self.start + self.value.length


def written_value(length: Fraction) -> NoteValue | None:
    """Return the single value, dotted at most once, that lasts `length` quarters; None if none."""
    for dots, base in ((0, length), (1, length * 2 / 3)):
        if _power_of_two(base) and SHORTEST <= base <= LONGEST:
            return NoteValue(base, dots)
    return None


def _power_of_two(base: Fraction) -> bool:
    return all(number & (number - 1) == 0 for number in base.as_integer_ratio())


def pieces(
    start: Fraction, end: Fraction, meter: Meter, *, rest: bool = False
) -> tuple[Piece, ...]:
    """Cut a stretch within one measure into written values, none of them a tuplet.

    Parameters
    ----------
    start, end : Fraction
        From the measure's first beat; binary fractions of a quarter note.
    meter : Meter
    rest : bool
        Write a rest, which hides no beat.

    Raises
    ------
    CannotPlay
        No note values add up to it.

    Examples
    --------
    >>> [str(p.value.length) for p in pieces(Fraction(3, 2), Fraction(4), Meter(4))]
    ['1/2', '2']
    """
    if any((point / SHORTEST).denominator > 1 for point in (start, end)):
        raise CannotPlay(f"a note of {end - start} quarter notes cannot be written down")
    return tuple(_cut(start, end, meter, rest=rest))


def _cut(start: Fraction, end: Fraction, meter: Meter, *, rest: bool) -> Iterator[Piece]:
    """Yield the whole stretch as one value, else its two sides of the point it must show."""
    value = written_value(end - start)
    depth, inside = _deepest_seen(start, end, meter)
    if value and _may_hide(start, end, depth, meter, rest=rest):
        yield Piece(start, value)
        return
    cut = inside[-1] if _depth(start, meter) <= depth else inside[0]
    yield from _cut(start, cut, meter, rest=rest)
    yield from _cut(cut, end, meter, rest=rest)


def triplet_pieces(
    start: Fraction, end: Fraction, window: tuple[Fraction, Fraction]
) -> tuple[Piece, ...]:
    """Cut a stretch within a triplet's window into values of three in the time of two."""
    third = (window[1] - window[0]) / 3
    value = written_value((end - start) * 3 / 2)
    if value:
        return (Piece(start, NoteValue(value.base, value.dots, (3, 2))),)
    cut = start + third - (start - window[0]) % third
    return triplet_pieces(start, cut, window) + triplet_pieces(cut, end, window)


def triplet_windows(
    bounds: tuple[Fraction, ...], length: Fraction
) -> tuple[tuple[Fraction, Fraction], ...]:
    """Find the stretches of a measure that are divided in three.

    Parameters
    ----------
    bounds : tuple of Fraction
        Every point of the measure where something starts or ends, rising, 0 and its end included.
    length : Fraction
        Of the measure.

    Returns
    -------
    tuple of (Fraction, Fraction)
        First and last point of each, in order, apart from one another.
    """
    found: list[tuple[Fraction, Fraction]] = []
    for point in bounds:
        covered = bool(found) and point < found[-1][1]
        if point.denominator % 3 == 0 and not covered:
            found.append(_window(point, bounds, length))
    return tuple(found)


def _window(
    point: Fraction, bounds: tuple[Fraction, ...], length: Fraction
) -> tuple[Fraction, Fraction]:
    """Return the least window round a point that no note crosses; failing that, its beat.

    Over more than a beat only plain thirds are bracketed together.
    """
    for size in TRIPLET_WINDOWS:
        first = point - point % size
        last = first + size
        inside = [bound for bound in bounds if first < bound < last]
        plain = size <= 1 or all(bound % (size / 3) == 0 for bound in inside)
        if plain and last <= length and {first, last} <= set(bounds):
            return first, last
    beat = point - point % 1
    return beat, beat + 1


def _steps(meter: Meter) -> tuple[Fraction, ...]:
    """Return the spacing of the points of depth 2, 3, ...; a beat of three has no halves."""
    if meter.unit.numerator == 3:  # noqa: PLR2004 (a dotted beat)
        first = (meter.unit, meter.unit, meter.unit / 3)
    else:
        first = (meter.unit, meter.unit / 2, meter.unit / 4)
    return first + tuple(first[-1] / 2**n for n in range(1, 4))


def _middle(meter: Meter) -> Fraction | None:
    beat = MIDDLE.get(meter.beats)
    return None if beat is None else beat * meter.unit


def _depth(point: Fraction, meter: Meter) -> int:
    """Return how deep in the measure a point lies; its two ends are 0."""
    if point in (0, meter.length):
        return 0
    if point == _middle(meter):
        return 1
    steps = _steps(meter)
    return next((2 + n for n, step in enumerate(steps) if point % step == 0), 2 + len(steps))


def _deepest_seen(start: Fraction, end: Fraction, meter: Meter) -> tuple[int, tuple[Fraction, ...]]:
    """Return the least depth found strictly between two points, and all points of that depth."""
    middle = _middle(meter)
    if middle is not None and start < middle < end:
        return 1, (middle,)
    for depth, step in enumerate(_steps(meter), start=2):
        first = start - start % step + step
        if first < end:
            count = -((first - end) // step)
            return depth, tuple(first + step * n for n in range(int(count)))
    return 2 + len(_steps(meter)), ()


def _may_hide(start: Fraction, end: Fraction, depth: int, meter: Meter, *, rest: bool) -> bool:
    """Tell whether one value may stand from `start` to `end` over points of this depth."""
    deepest = max(_depth(start, meter), _depth(end, meter))
    if rest:
        return deepest < depth
    beats = _points_between(start, end, meter.unit)
    return deepest <= depth + 1 and (deepest < OFF_BEAT or beats <= 1)


def _points_between(start: Fraction, end: Fraction, step: Fraction) -> int:
    return int(-(-end // step) - start // step - 1)
