"""From what a player asked for to the line, and to its title in print."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Final

from chartkit.errors import RequestError
from chartkit.exercise import KINDS, line_through
from chartkit.exercise.terms import Terms
from chartkit.harmony import Span
from chartkit.line import Line
from chartkit.take import ExerciseAsked

USUAL_VALUE: Final = Fraction(1, 2)


def line_asked(spans: Sequence[Span], asked: ExerciseAsked, low: int, high: int) -> Line:
    """Return the line that was asked for.

    Parameters
    ----------
    spans : sequence of Span
        Their end leads into their beginning.
    asked : ExerciseAsked
    low, high : int
        MIDI note numbers of the range where none was asked for, both included.

    Raises
    ------
    RequestError
        The kind has no use for something that was asked for.
    CannotPlay
        No such line exists.
    """
    if asked.value and not KINDS[asked.kind].takes_value:
        raise RequestError(f"{KINDS[asked.kind].title} take no note value: leave it out")
    terms = Terms(
        low if asked.low is None else asked.low,
        high if asked.high is None else asked.high,
        asked.start,
        asked.value or USUAL_VALUE,
        asked.upward,
        asked.options,
    )
    return line_through(spans, asked.kind, terms)


def title_of(asked: ExerciseAsked) -> str:
    """Return the title of an exercise with what was chosen for it.

    >>> title_of(ExerciseAsked("arpeggio", upward=False))
    'Arpeggio, down'
    """
    return ", ".join((KINDS[asked.kind].title, *choices_of(asked)))


def choices_of(asked: ExerciseAsked) -> Iterator[str]:
    """Yield what was chosen beside the kind, in words."""
    options = asked.options
    if options.tones:
        yield options.tones
    if options.motif:
        yield options.motif.replace("-", " ")
    if options.first:
        yield f"from the {options.first}"
    if options.side:
        yield f"from {options.side}"
    if not asked.upward:
        yield "down"
    if options.shape:
        yield options.shape.replace("-", " ")
    if options.cadences:
        yield "over the cadences"
