"""Sizes of print: ordinary, and large for weak eyes or a stand that is far away.

Conventions: heights of a staff in points. The figures are common practice, no source; 7 mm is the
usual staff of a printed part.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Sizes:
    """What print may be as large as.

    Parameters
    ----------
    largest, usual, smallest : float
        Heights of a staff.
    crowded : float
        A system so full that the staff would be smaller than this is cut in two, if each part has
        two bars.
    text : float
        Size of text against the ordinary one.
    """

    largest: float
    usual: float
    crowded: float
    smallest: float
    text: float = 1.0


ORDINARY: Final = Sizes(20.4, 19.3, 16.4, 14.8)
"""Staves of 7.2, 6.8, 5.8 and 5.2 millimetres."""

LARGE: Final = Sizes(31.0, 28.4, 25.5, 22.7, 1.45)
"""Staves of 10.9, 10, 9 and 8 millimetres."""
