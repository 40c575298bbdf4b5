"""Fingering a whole line at the least cost."""

from __future__ import annotations

from dataclasses import dataclass

from chartkit.guitar.fretboard import Stop


@dataclass(frozen=True, slots=True)
class Fingering:
    """Where and with which finger each note of a line is played.

    Parameters
    ----------
    stops : tuple of Stop or None
        One for each note of the line, in order; None for a rest.
    cost : float
        Of the whole path.
    reasons : tuple of str
        Why the hand moves where it does, a sentence each.
    """

    stops: tuple[Stop | None, ...]
    cost: float
    reasons: tuple[str, ...] = ()
