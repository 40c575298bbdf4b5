"""The connected arpeggio: one unbroken run of chord tones through the changes.

Conventions: the line goes through the tones of the chord now sounding as `chartkit.exercise.travel`
has it. Notes are written on the beat: the chord tones change exactly where the chord is written,
also where the band pushes it an eighth early. Over N.C. the line rests, and afterwards goes on from
where it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from chartkit.exercise.slots import even, resting
from chartkit.exercise.terms import Terms
from chartkit.exercise.tone_sets import first_role, tone_sets
from chartkit.exercise.tones import line_tones
from chartkit.exercise.travel import travel
from chartkit.harmony import Span
from chartkit.line import Line


def connected(
    spans: Sequence[Span],
    low: int,
    high: int,
    *,
    start: int | None = None,
    value: Fraction = Fraction(1, 2),
    upward: bool = True,
) -> Line:
    """Return the connected arpeggio of K; the parameters are those of `Terms`."""
    return connected_arpeggio(spans, Terms(low, high, start, value, upward))


def connected_arpeggio(spans: Sequence[Span], terms: Terms) -> Line:
    """Return the connected arpeggio through some changes; option `tones`.

    Raises
    ------
    CannotPlay
        A chord has fewer than two tones in the range or lacks one that is asked for, or the note
        value does not fill a span.
    """
    sets = tone_sets(spans, terms.options.tones or "sevenths")
    slots = even(spans, terms.value)
    choices = (line_tones(s.span, s.chord, sets[s.span.start], terms) for s in slots)
    tones = travel(choices, terms.start, upward=terms.upward, role=first_role(sets))
    return resting((s.note(tone) for s, tone in zip(slots, tones, strict=True)), spans)
