"""Sizes of paper.

Conventions: points of 1/72 inch. Sources: ISO 216 (A4, 210 x 297 mm); US Letter, 8.5 x 11 inches.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet's size and its margins, in points."""

    name: str
    width: float
    height: float
    side: float = 42.5
    top: float = 36.0
    bottom: float = 36.0

    @property
    def inner_width(self) -> float:
        """Between the side margins."""
        return self.width - 2 * self.side


A4: Final = Paper("a4", 595.276, 841.890)
LETTER: Final = Paper("letter", 612.0, 792.0)

PAPERS: Final = {paper.name: paper for paper in (A4, LETTER)}
