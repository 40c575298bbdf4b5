"""Chord shapes: the voices of a chord under one hand on the neck.

Conventions: pitches are sounding MIDI note numbers, lowest first; a shape is a place for each of
them, in the same order. Every voice has a string of its own, higher voices on higher-sounding
strings, and no string is open, so that a shape can be moved and muted. The frets lie within one
position with one stretch, and at most one string inside is left out [common practice, no source].
"""

from __future__ import annotations

from functools import cache
from itertools import combinations
from typing import Final

from chartkit.guitar.fretboard import FINGERS, STANDARD, Place, Tuning, fret_of

LEFT_OUT: Final = 1
"""Strings between the outer ones that may stay silent."""


@cache
def shapes(pitches: tuple[int, ...], tuning: Tuning = STANDARD) -> tuple[tuple[Place, ...], ...]:
    """Return every shape of a chord, the highest-sounding strings first.

    Parameters
    ----------
    pitches : tuple of int
        Rising.
    tuning : Tuning

    >>> shapes((51, 57, 62, 67))[0]
    ((4, 1), (3, 2), (2, 3), (1, 3))
    """
    chosen = combinations(tuning.strings, len(pitches))
    laid = (_laid(strings[::-1], pitches, tuning) for strings in chosen if _is_close(strings))
    return tuple(shape for shape in laid if _is_in_position(shape, tuning))


def _laid(strings: tuple[int, ...], pitches: tuple[int, ...], tuning: Tuning) -> tuple[Place, ...]:
    return tuple(
        (string, fret_of(tuning, string, pitch))
        for string, pitch in zip(strings, pitches, strict=True)
    )


def _is_close(strings: tuple[int, ...]) -> bool:
    return strings[-1] - strings[0] < len(strings) + LEFT_OUT


def _is_in_position(shape: tuple[Place, ...], tuning: Tuning) -> bool:
    frets = [fret for _, fret in shape]
    return min(frets) >= 1 and max(frets) <= min(tuning.frets, min(frets) + FINGERS)
