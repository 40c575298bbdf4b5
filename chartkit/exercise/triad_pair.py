"""Triad pairs: two triads without a common tone, three notes of each in turn.

Conventions: the two are the major triads of the chord scale whose roots lie nearest to each other;
where a scale has no such two, its augmented triads, or failing them the nearest of its major and
minor ones. Of equally near ones it takes those that begin nearest above the root. Over an ionian
chord they are those of lydian on the same root: over Cmaj7 C and D. [common practice, no source]
Each is spelled in thirds with as few accidentals as may be, of two such spellings in flats.

Upward each triad is played from its lowest note, and every time round it is inverted: F A C, G B D,
A C F, B D G, C F A, D G B, as many of these as the range has room for; there and back only the
first two. How they are laid out stands in `chartkit.exercise.figure`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.exercise.figure import Figure, Step, figured
from chartkit.exercise.slots import Slot
from chartkit.exercise.terms import Terms
from chartkit.exercise.tones import bar_words
from chartkit.harmony import Span
from chartkit.line import Line
from chartkit.theory.pitch import MAJOR_STEPS, Degree, NoteName
from chartkit.theory.scale import SCALES, Scale

INVERSIONS: Final = 3

_MAJOR, _MINOR, _AUGMENTED = (0, 4, 7), (0, 3, 7), (0, 4, 8)
_PREFERRED: Final = ((_MAJOR,), (_AUGMENTED,), (_MAJOR, _MINOR))
"""Shapes of triads, in semitones above their roots."""

Triad = tuple[Step, Step, Step]


def triad_pair(spans: Sequence[Span], terms: Terms) -> Line:
    """Return triad pairs through some changes; option `shape`.

    Raises
    ------
    CannotPlay
        A chord's scale has no two such triads, or there is no room for them in the range; the note
        value does not fill a span.
    """
    times = 1 if terms.options.shape == "there-and-back" else INVERSIONS
    return figured(spans, terms, lambda slot: _figures(slot, times))


def _figures(slot: Slot, times: int) -> list[Figure]:
    """Return the pair played so many times, inverted each time, then fewer times."""
    pair = _pair(slot.span.scale) if slot.span.scale else None
    if pair is None:
        raise CannotPlay(f"{bar_words(slot.span, slot.chord)} has no pair of triads in its scale")
    groups: list[Triad] = [*pair]
    while len(groups) < times * len(pair):
        low, middle, high = groups[-len(pair)]
        groups.append((middle, high, low.raised))
    ladders = (groups[:count] for count in range(len(groups), 0, -len(pair)))
    return [Figure(tuple(step for group in ladder for step in group)) for ladder in ladders]


def _pair(scale: Scale) -> tuple[Triad, Triad] | None:
    if scale.name == "ionian":
        scale = replace(scale, degrees=SCALES["lydian"])
    pairs = (
        _nearest([triad for shape in shapes for triad in _triads(scale, shape)])
        for shapes in _PREFERRED
    )
    return next(filter(None, pairs), None)


def _triads(scale: Scale, shape: Sequence[int]) -> Iterator[Triad]:
    """Yield every triad of a shape (semitones above its root) in a scale."""
    steps = {degree.semitones for degree in scale.degrees}
    for root in scale.degrees:
        if all((root.semitones + tone) % 12 in steps for tone in shape):
            spelled = (_stacked(number, root.semitones, shape) for number in _numbers(root))
            yield min(spelled, key=lambda triad: _signs(scale.root, triad))


def _numbers(root: Degree) -> tuple[int, ...]:
    """Return the numbers that a triad's root may be written with; the chord's own root stays."""
    number = root.number
    return (1,) if number == 1 else (number, number % 7 + 1, (number - 2) % 7 + 1)


def _stacked(number: int, root: int, shape: Sequence[int]) -> Triad:
    """Spell a triad in thirds from a root of this number and so many semitones."""
    low, middle, high = (
        Step(_degree((number - 1 + 2 * third) % 7 + 1, root + tone), root + tone)
        for third, tone in enumerate(shape)
    )
    return low, middle, high


def _degree(number: int, semitones: int) -> Degree:
    return Degree(number, (semitones - MAJOR_STEPS[number - 1] + 6) % 12 - 6)


def _signs(root: NoteName, triad: Triad) -> tuple[int, int]:
    """Return how many accidentals a triad takes; fewer for flats where that is equal."""
    alters = [root.up(step.degree).alter for step in triad]
    return sum(map(abs, alters)), sum(alters)


def _nearest(triads: Sequence[Triad]) -> tuple[Triad, Triad] | None:
    """Return the two triads nearest to each other that share no tone."""
    ordered = sorted((*triads, *map(_raised, triads)), key=_root)
    pairs = [(one, other) for one, other in combinations(ordered, 2) if _apart(one, other)]
    return min(pairs, key=lambda pair: _root(pair[1]) - _root(pair[0]), default=None)


def _root(triad: Triad) -> int:
    return triad[0].above


def _raised(triad: Triad) -> Triad:
    low, middle, high = triad
    return low.raised, middle.raised, high.raised


def _apart(one: Triad, other: Triad) -> bool:
    return not {step.above % 12 for step in one} & {step.above % 12 for step in other}
