"""What a player may choose about a line through the changes, beside its range and its rhythm.

Conventions: None leaves the choice to the kind of line. Which kind takes which choice stands in
`chartkit.exercise.KINDS`; how each is meant, in the module of the kind.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias, get_args

Tones: TypeAlias = Literal["sevenths", "triads", "3-5-7-9"]
First: TypeAlias = Literal["root", "third", "fifth", "seventh"]
Shape: TypeAlias = Literal["one-way", "there-and-back", "turn-about"]
Side: TypeAlias = Literal["below", "above"]

TONES: Final[tuple[str, ...]] = get_args(Tones)
FIRSTS: Final[tuple[str, ...]] = get_args(First)
SHAPES: Final[tuple[str, ...]] = get_args(Shape)
SIDES: Final[tuple[str, ...]] = get_args(Side)


@dataclass(frozen=True, slots=True)
class LineOptions:
    """Choices about a line.

    Parameters
    ----------
    tones : {"sevenths", "triads", "3-5-7-9"} or None
        The chord tones that it uses.
    first : {"root", "third", "fifth", "seventh"} or None
        What it starts from.
    shape : {"one-way", "there-and-back", "turn-about"} or None
        One direction only; up and down within each chord; one chord up and the next one down.
    side : {"below", "above"} or None
        Where an approach comes from.
    motif : str or None
        A name from `chartkit.exercise.motif.MOTIFS`.
    cadences : bool
        Play over the cadences only, and rest elsewhere.
    """

    tones: Tones | None = None
    first: First | None = None
    shape: Shape | None = None
    side: Side | None = None
    motif: str | None = None
    cadences: bool = False


NO_CHOICE: Final = LineOptions()
"""Everything left to the kind of line."""
