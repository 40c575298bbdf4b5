"""From degrees to the one tidy quality of a chord symbol.

Conventions: the head that leaves the fewest tensions is taken. An altered fifth, or a lone altered
tension, is glued to a head that ends in a digit (``7#5``, ``7b9``); all else is bracketed in rising
order (``7(b9,#11)``), except that a triad adds a lone natural tension (``add9``).
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

from chartkit.errors import ChordError
from chartkit.theory.oddity import Unreadable
from chartkit.theory.pitch import Degree
from chartkit.theory.quality import TENSIONS, quality_degrees

_SUSPENDABLE: Final = ("", "6", "69", "7", "9", "13", "maj7", "maj9", "maj13")
_TIDY_HEADS: Final = (
    *_SUSPENDABLE,
    *("5", "m", "m6", "m69", "m7", "m9", "m13", "m11"),
    *("m(maj7)", "m(maj9)", "m(maj13)", "m(maj11)", "o", "o7", "o(maj7)", "m7b5", "+", "7alt"),
    *(f"{head}sus" for head in _SUSPENDABLE),
    *(f"{head}sus2" for head in _SUSPENDABLE),
)
"""The heads that tidy symbols use; of those that leave equally many tensions the first is taken."""


@lru_cache(maxsize=1024)
def tidy_quality(wanted: tuple[Degree, ...]) -> str:
    """Return the one tidy quality that means these degrees.

    Raises
    ------
    ChordError
        There is none.
    """
    tails = {
        head: tuple(d for d in wanted if d not in quality_degrees(head)) for head in _TIDY_HEADS
    }
    for head, tail in sorted(tails.items(), key=lambda item: len(item[1])):
        if TENSIONS.issuperset(tail):
            quality = _with_tail(head, tail)
            if _means(quality, wanted):
                return quality
    names = " ".join(map(str, wanted))
    raise ChordError(names, f"no chord symbol stands for the degrees {names}")


def _means(quality: str, wanted: tuple[Degree, ...]) -> bool:
    try:
        return quality_degrees(quality) == wanted
    except Unreadable:
        return False


def _with_tail(head: str, tail: tuple[Degree, ...]) -> str:
    """Join head and tensions: an altered fifth or a lone altered tension glued, else brackets."""
    if not tail:
        return head
    if head in ("", "m") and len(tail) == 1 and not tail[0].alter:
        return f"{head}add{tail[0]}"
    glued = head[-1:].isdigit() and tail[0].alter
    if glued and (tail[0].number == 5 or len(tail) == 1):  # noqa: PLR2004 (the fifth)
        return _with_tail(f"{head}{tail[0]}", tail[1:])
    return f"{head}({','.join(map(str, tail))})"
