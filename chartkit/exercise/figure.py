"""A figure of tones that starts again on each chord, laid where the hand already is.

Conventions: a figure is written as it rises, in semitones above its chord's root. Going one way it
is played over and over as it stands, or from its top down; there and back it goes up and down in
turn and plays neither end twice; turn about, one chord has it upward and the next one downward.

On each chord it lies in the octave where its first note is nearest to the last note before (of two
equally near, the lower), all that is played of it in the range. The first chord has it nearest to
the start or, without one, as low as it goes where the line sets out upward, else as high.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import cycle, islice
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.exercise.slots import Slot, by_chord, even, resting
from chartkit.exercise.terms import Terms
from chartkit.exercise.tones import ChordTone, bar_words, note_words, tone_at
from chartkit.harmony import Span
from chartkit.line import Line, LineNote
from chartkit.line_options import Shape
from chartkit.theory.pitch import Degree

_OCTAVE: Final = 12


@dataclass(frozen=True, slots=True)
class Step:
    """A note of a figure: a degree, and the semitones above the root at which it lies."""

    degree: Degree
    above: int

    @property
    def raised(self) -> Step:
        """The same degree an octave higher."""
        return Step(self.degree, self.above + _OCTAVE)


@dataclass(frozen=True, slots=True)
class Figure:
    """Steps in the order in which they are played upward; `turn` are added at the top of a turn."""

    steps: tuple[Step, ...]
    turn: tuple[Step, ...] = ()


Figures = Callable[[Slot], Sequence[Figure]]
"""What may be played on the chord of a slot, the best first."""


def stacked(degrees: Sequence[Degree]) -> tuple[Step, ...]:
    """Return degrees as steps, each as close above the last as it can lie.

    >>> [step.above for step in stacked([Degree(5), Degree(7), Degree(1), Degree(3)])]
    [7, 11, 12, 16]
    """
    steps: list[Step] = []
    for degree in degrees:
        floor = steps[-1].above + 1 if steps else 0
        steps.append(Step(degree, floor + (degree.semitones - floor) % _OCTAVE))
    return tuple(steps)


def figured(spans: Sequence[Span], terms: Terms, figures: Figures) -> Line:
    """Return the line that plays a figure on each chord.

    Raises
    ------
    CannotPlay
        The note value does not fill a span, or no figure of a chord lies in the range.
    """
    return resting(_notes(spans, terms, figures), spans)


def _notes(spans: Sequence[Span], terms: Terms, figures: Figures) -> Iterator[LineNote]:
    shape, upward = terms.options.shape or "one-way", terms.upward
    last = terms.start
    for slots in by_chord(even(spans, terms.value)):
        tones = _laid(slots, terms, figures(slots[0]), last, shape=shape, upward=upward)
        yield from (slot.note(tone) for slot, tone in zip(slots, tones, strict=True))
        last = tones[-1].midi
        upward = upward != (shape == "turn-about")


def _laid(
    slots: Sequence[Slot],
    terms: Terms,
    figures: Sequence[Figure],
    last: int | None,
    *,
    shape: Shape,
    upward: bool,
) -> list[ChordTone]:
    """Return the tones of a chord's slots by the first of its figures that has room."""
    for figure in figures:
        steps = list(islice(cycle(_round(figure, shape, upward=upward)), len(slots)))
        root = _root(steps, slots[0], terms, last)
        if root is not None:
            return [tone_at(slots[0].chord.root, s.degree, root + s.above) for s in steps]
    raise CannotPlay(
        f"{bar_words(slots[0].span, slots[0].chord)} has no room for this figure "
        f"from {note_words(terms.low)} to {note_words(terms.high)}; widen the range"
    )


def _round(figure: Figure, shape: Shape, *, upward: bool) -> tuple[Step, ...]:
    """Return one time through a figure, after which it starts again."""
    there = (*figure.steps, *figure.turn)
    if not upward:
        there = there[::-1]
    if shape == "there-and-back":
        return (*there, *there[-2:0:-1])
    return there[: len(figure.steps)]


def _root(steps: Sequence[Step], slot: Slot, terms: Terms, last: int | None) -> int | None:
    """Return the MIDI note number of the root on which the steps are laid; None without room."""
    above = [step.above for step in steps]
    roots = [
        midi
        for midi in range(terms.low - max(above), terms.high + 1)
        if midi % _OCTAVE == slot.chord.root.pitch_class
        and terms.low <= midi + min(above)
        and midi + max(above) <= terms.high
    ]
    if last is None:
        return min(roots, key=lambda root: root if terms.upward else -root, default=None)
    return min(roots, key=lambda root: abs(root + above[0] - last), default=None)
