"""Scales as values."""

from __future__ import annotations

from dataclasses import dataclass

from chartkit.theory.pitch import Degree, NoteName


@dataclass(frozen=True, slots=True)
class Scale:
    """A root and its degrees in rising order, all within the octave; `name` is the trade's."""

    name: str
    root: NoteName
    degrees: tuple[Degree, ...]
