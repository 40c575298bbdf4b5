"""Cells of four notes: 1 2 3 5 on each chord.

Conventions: third and fifth are the chord's own (the fourth if suspended), so a minor chord has
1 2 b3 5 and a diminished one 1 2 b3 b5; where it has none they are the scale's. The second is
natural, except where the symbol has only altered ninths: there it is flat. A half-diminished chord
has 1 b3 4 b5. Upward a cell starts from its root, downward from its fifth. [common practice, no
source] How cells are laid out stands in `chartkit.exercise.figure`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.exercise.figure import Figure, figured, stacked
from chartkit.exercise.slots import Slot
from chartkit.exercise.terms import Terms
from chartkit.exercise.tone_sets import fifth_of
from chartkit.exercise.tones import bar_words
from chartkit.harmony import Span
from chartkit.line import Line
from chartkit.theory.chord import Chord
from chartkit.theory.chord_scale import kind
from chartkit.theory.pitch import Degree, degrees

_HALF_DIMINISHED: Final = degrees("1 b3 4 b5")
_ALTERED_NINTHS: Final = frozenset(degrees("b9 #9"))


def cells(spans: Sequence[Span], terms: Terms) -> Line:
    """Return cells through some changes; option `shape`.

    Raises
    ------
    CannotPlay
        A chord has no room in the range, or the note value does not fill a span.
    """
    return figured(spans, terms, lambda slot: (Figure(stacked(_cell(slot))),))


def _cell(slot: Slot) -> tuple[Degree, ...]:
    chord = slot.chord
    if kind(chord) == "half-diminished":
        return _HALF_DIMINISHED
    third = chord.third if chord.third != Degree(2) else None
    return (
        Degree(1),
        _second(chord),
        third or _scale_step(slot, 3),
        fifth_of(chord) or _scale_step(slot, 5),
    )


def _second(chord: Chord) -> Degree:
    written = set(chord.degrees)
    altered = written & _ALTERED_NINTHS and Degree(9) not in written
    return Degree(2, -1) if altered else Degree(2)


def _scale_step(slot: Slot, number: int) -> Degree:
    steps = slot.span.scale.degrees if slot.span.scale else ()
    step = next((step for step in steps if step.number == number), None)
    if step is None:
        raise CannotPlay(f"{bar_words(slot.span, slot.chord)} has no {number} for a cell")
    return step
