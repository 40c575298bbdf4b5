"""The straight arpeggio: each chord's tones in order, started again on every chord.

Conventions: it starts from the root unless another tone is asked for, 3-5-7-9 from the third, and
goes through the tones of the set (`chartkit.exercise.tone_sets`) within an octave; there and back
it has the first tone's octave at its top: 1 3 5 7 8 7 5 3. Downward it starts from that octave.
What stands for a third, a fifth or a seventh serves for it. How it is laid out stands in
`chartkit.exercise.figure`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.exercise.figure import Figure, figured, stacked
from chartkit.exercise.slots import Slot
from chartkit.exercise.terms import Terms
from chartkit.exercise.tone_sets import fifth_of, tone_sets
from chartkit.exercise.tones import bar_words
from chartkit.harmony import Span
from chartkit.line import Line
from chartkit.line_options import First
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree

_STANDS_FOR: Final[Mapping[First, Callable[[Chord], Degree | None]]] = {
    "root": lambda _: Degree(1),
    "third": lambda chord: chord.third,
    "fifth": fifth_of,
    "seventh": lambda chord: chord.seventh,
}


def arpeggio(spans: Sequence[Span], terms: Terms) -> Line:
    """Return the straight arpeggio through some changes; options `tones`, `first` and `shape`.

    Raises
    ------
    CannotPlay
        A chord lacks a tone, or has no room in the range; the note value does not fill a span.
    """
    sets = tone_sets(spans, terms.options.tones or "sevenths")

    def figures(slot: Slot) -> tuple[Figure]:
        degrees = _from(slot, sets[slot.span.start], terms.options.first)
        *steps, octave = stacked((*degrees, degrees[0]))
        return (Figure(tuple(steps), (octave,)),)

    return figured(spans, terms, figures)


def _from(slot: Slot, degrees: tuple[Degree, ...], first: First | None) -> tuple[Degree, ...]:
    """Return degrees in their order, beginning with the one asked for."""
    wanted = _STANDS_FOR[first](slot.chord) if first else degrees[0]
    if wanted not in degrees:
        raise CannotPlay(
            f"{bar_words(slot.span, slot.chord)} has no {first} among the tones asked for; "
            "start from another one"
        )
    at = degrees.index(wanted)
    return degrees[at:] + degrees[:at]
