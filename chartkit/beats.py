"""How the words of a bar share its beats.

Conventions: beats are the meter's own. With any slash in the bar each word is one beat; without,
the words share the bar in equal whole beats.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations, groupby, islice
from typing import Final

from chartkit.chart import Meter
from chartkit.lines import Beat, Kind, Misread

UNIT_NAMES: Final = {
    Fraction(2): "halves",
    Fraction(3, 2): "dotted quarters",
    Fraction(1): "beats",
    Fraction(1, 2): "eighths",
    Fraction(1, 4): "sixteenths",
}
"""What beats are called in messages, by their length in quarter notes."""

_MOST_READINGS: Final = 6


def shares(beats: Sequence[Beat], total: int, meter: Meter) -> tuple[tuple[Beat, int], ...]:
    """Return each chord (or leading slash) with the beats it lasts.

    Parameters
    ----------
    beats : sequence of Beat
        At least one.
    total : int
        Beats that fill the bar: the meter's, or a pickup's.
    meter : Meter
        For the beats' name in messages.

    Raises
    ------
    Misread
        They do not fill the bar, or cannot share it evenly.
    """
    bar = f"{total} {UNIT_NAMES[meter.unit]}"
    if any(beat.kind is Kind.SLASH for beat in beats):
        if len(beats) != total:
            raise Misread(f"{_counted(len(beats), 'beat')} in a bar of {bar}", bar)
        return tuple(_runs(beats))
    length, rest = divmod(total, len(beats))
    if not length:
        raise Misread(f"{_counted(len(beats), 'chord')} in a bar of {bar}", f"{total} at most")
    if rest:
        found = f"{_counted(len(beats), 'chord')} cannot share {bar} evenly"
        raise Misread(found, *islice(_readings(beats, total), _MOST_READINGS))
    return tuple((beat, length) for beat in beats)


def _runs(beats: Sequence[Beat]) -> Iterator[tuple[Beat, int]]:
    """Give each chord the slashes after it, and slashes at the start to the first of them."""
    starts = [i for i, beat in enumerate(beats) if not i or beat.kind is not Kind.SLASH]
    for start, stop in zip(starts, (*starts[1:], len(beats)), strict=True):
        yield beats[start], stop - start


def _readings(beats: Sequence[Beat], total: int) -> Iterator[str]:
    """Yield the most even ways to share the beats, written out with slashes."""
    length, longer = divmod(total, len(beats))
    for chosen in combinations(range(len(beats)), longer):
        lengths = [length + (i in chosen) for i in range(len(beats))]
        yield f"`{' '.join(_written(beats, lengths))}`"


def _written(beats: Sequence[Beat], lengths: Sequence[int]) -> Iterator[str]:
    """Yield each chord with its slashes, turnarounds in their brackets."""
    pairs = zip(beats, lengths, strict=True)
    for in_brackets, group in groupby(pairs, key=lambda pair: pair[0].turnaround):
        words = " ".join(" ".join([beat.word.text, *"/" * (n - 1)]) for beat, n in group)
        yield f"({words})" if in_brackets else words


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'s' if number != 1 else ''}"
