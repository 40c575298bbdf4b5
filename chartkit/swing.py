"""How late the off-beats come: a ratio for each part and tempo, and where it puts a note.

Conventions: tempos are quarter notes a minute. A ratio is long to short, of the two eighths of a
quarter: 1 is straight, 2 puts the off-beat on the last third.

Sources of the ratios:

- drums: Friberg & Sundström 2002, Music Perception 19(3): about linear in tempo, up to 3.5 at slow
  tempos, down to 1 at the fastest. Cheston et al. 2024, TISMIR (hand-annotated trio recordings):
  about 2.2 at 120-190, 1.9 at 190-220, 1.5 at 250-300, set here in the middle of each band; a short
  note of 133 ms falling to 86 ms, which fixes the ratio at 300.
- bass: near the drums; chords: 1.3 to 1.5 (both Cheston et al. 2024).
- line: about 1.3 (Corcoran & Frieler 2021, Music Perception 38(4): soloists play straighter).

In a feel that counts other beats than quarters, those beats swing. A feel may keep its ratio lower.
"""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from functools import cache
from typing import Final

from chartkit.feel import Feel
from chartkit.track import Part


def _figures(text: str) -> tuple[Fraction, ...]:
    return tuple(map(Fraction, text.split()))


STRAIGHT: Final = Fraction(1)

_TEMPOS: Final = (40, 155, 205, 275, 300, 400)
_RATIOS: Final[dict[Part, tuple[Fraction, ...]]] = {
    #                    40   155  205  275  300  400
    "drums": _figures("  3.4  2.2  1.9  1.5  1.35 1"),
    "bass": _figures("   3.2  2.1  1.85 1.45 1.33 1"),
    "chords": _figures(" 1.5  1.45 1.4  1.35 1.3  1"),
    "line": _figures("   1.35 1.3  1.3  1.3  1.25 1"),
    "click": _figures("  1    1    1    1    1    1"),
}


@cache
def ratio(part: Part, tempo: Fraction) -> Fraction:
    """Return a part's swing ratio at a tempo: linear between the published points, level outside.

    >>> float(ratio("drums", Fraction(180)))
    2.05
    """
    above = bisect_right(_TEMPOS, tempo)
    if above in (0, len(_TEMPOS)):
        return _RATIOS[part][max(0, above - 1)]
    slow, fast = _TEMPOS[above - 1 : above + 1]
    before, after = _RATIOS[part][above - 1 : above + 1]
    return before + (after - before) * (tempo - slow) / (fast - slow)


def ratio_in(feel: Feel, part: Part, tempo: Fraction) -> Fraction:
    """Return a part's ratio in a feel at a tempo: 1 where the feel does not swing.

    >>> from chartkit.feel import FEELS
    >>> float(ratio_in(FEELS["ballad"], "drums", Fraction(60)))
    2.3
    """
    if feel.off_beat != "swing":
        return STRAIGHT
    return min(ratio(part, tempo / feel.pulse), feel.widest)


def swung(at: Fraction, long_short: Fraction) -> Fraction:
    """Return where a note written at a beat is played.

    Halves, quarters, eighths ... of a beat move in proportion; triplets and other divisions stay.
    """
    return at if _in_threes(at) else _bent(at, long_short)


def swung_end(start: Fraction, end: Fraction, long_short: Fraction) -> Fraction:
    """Return where a note written from `start` to `end` ends, always after its swung start."""
    if _in_threes(end) and end <= swung(start, long_short):
        return _bent(end, long_short)
    return swung(end, long_short)


def _in_threes(at: Fraction) -> bool:
    """Tell whether a place does not come from halving the beat again and again."""
    return at.denominator & (at.denominator - 1) != 0


def _bent(at: Fraction, long_short: Fraction) -> Fraction:
    beat, within = divmod(at.numerator, at.denominator)
    return beat + _bent_within(within, at.denominator, long_short)


@cache
def _bent_within(numerator: int, denominator: int, long_short: Fraction) -> Fraction:
    """Return where a part of a beat comes: both halves of the beat are stretched evenly."""
    halves = Fraction(2 * numerator, denominator)
    off_beat = long_short / (long_short + 1)
    if halves <= 1:
        return halves * off_beat
    return off_beat + (halves - 1) * (1 - off_beat)
