"""The faces and strokes of engraved music on a screen, as a style sheet.

The engraver's own fonts (see `chartkit.output.typefaces`), as the engraver carries them.
"""

from __future__ import annotations

from functools import cache

from chartkit.output.drawing import STYLE
from chartkit.output.typefaces import music_style, text_style


@cache
def engraving_style() -> str:
    """Return the style sheet that every engraved page needs.

    Raises
    ------
    OutputError
        The engraver's fonts are not where they should be.
    """
    return f"{STYLE}{music_style()}\n{text_style()}"
