"""Variations of a phrase, one dimension at a time, each telling what it changed.

Conventions: a variation has the harmony of its phrase, as `chartkit.phrase.strong` has the rule,
lies on the neck, and leaps no wider than an octave or than the phrase itself. Two dimensions at
most are changed, and only when both are asked for.

A new dimension is a function from a phrase to phrases with what was done, and a row of
`DIMENSIONS`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from chartkit.errors import RequestError, either
from chartkit.instrument import GUITAR
from chartkit.phrase import (
    variation_approach,
    variation_mode,
    variation_order,
    variation_pitch,
    variation_time,
)
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.shape import pitches_of
from chartkit.phrase.strong import keeps_harmony, sounding_tones

DIMENSIONS: Final = {
    "start": variation_time.starts,
    "rhythm": variation_time.rhythms,
    "values": variation_time.values,
    "ending": variation_pitch.endings,
    "octave": variation_pitch.octaves,
    "order": variation_order.orders,
    "approach": variation_approach.approaches,
    "mode": variation_mode.modes,
}
"""What can be changed, and who changes it."""

MOST: Final = 2
"""Dimensions changed at once."""

OCTAVE: Final = 12


@dataclass(frozen=True, slots=True)
class Change:
    """What was done to a phrase; `dimension` is a name of `DIMENSIONS`."""

    dimension: str
    what: str


@dataclass(frozen=True, slots=True)
class Variation:
    """A phrase made from another one, and what was changed, one or two changes."""

    phrase: Phrase
    changes: tuple[Change, ...]

    @property
    def what(self) -> str:
        """All that was changed, in words."""
        return "; ".join(change.what for change in self.changes)


def variations(phrase: Phrase, dimensions: Sequence[str] = ()) -> tuple[Variation, ...]:
    """Return every variation of a phrase.

    Parameters
    ----------
    phrase : Phrase
        With one note at least.
    dimensions : sequence of str, optional
        One, or two that are both changed in every variation; without any, each one by itself.

    Raises
    ------
    RequestError
        More than two, the same one twice, or one that there is not.
    """
    _check(dimensions)
    if not sounding_tones(phrase):
        return ()
    if not dimensions:
        return tuple(one for name in DIMENSIONS for one in _varied(phrase, (name,)))
    return tuple(_varied(phrase, dimensions))


def _check(dimensions: Sequence[str]) -> None:
    for name in dimensions:
        if name not in DIMENSIONS:
            raise RequestError(f"{name} cannot be varied: choose {either(tuple(DIMENSIONS))}")
    if len(dimensions) > MOST or len(set(dimensions)) < len(dimensions):
        raise RequestError("a variation changes one thing, or two different ones at most")


def _varied(phrase: Phrase, dimensions: Sequence[str]) -> Iterator[Variation]:
    """Yield the variations that change these dimensions, one after the other, each once."""
    seen = {_essence(phrase)}
    first, *others = dimensions
    for made, what in DIMENSIONS[first](phrase):
        if _essence(made) in seen or not _sound(made, phrase):
            continue
        seen.add(_essence(made))
        change = Change(first, what)
        if not others:
            yield Variation(_told(made, (change,)), (change,))
            continue
        for more in _varied(made, others):
            if _essence(more.phrase) not in seen and _sound(more.phrase, phrase):
                seen.add(_essence(more.phrase))
                both = (change, *more.changes)
                yield Variation(_told(replace(more.phrase, note=phrase.note), both), both)


def _essence(phrase: Phrase) -> tuple[object, ...]:
    """Return what two phrases that are the same have in common, however they are written."""
    return sounding_tones(phrase), phrase.chords


def _sound(phrase: Phrase, original: Phrase) -> bool:
    """Tell whether a variation lies on the neck, leaps as its phrase may, and keeps the harmony."""
    midi = [pitch.midi for pitch in pitches_of(phrase)]
    widest = max(OCTAVE, _leap([pitch.midi for pitch in pitches_of(original)]))
    on_neck = all(GUITAR.low <= one <= GUITAR.high for one in midi)
    return on_neck and _leap(midi) <= widest and keeps_harmony(phrase, original)


def _leap(midi: Sequence[int]) -> int:
    return max((abs(b - a) for a, b in pairwise(midi)), default=0)


def _told(phrase: Phrase, changes: Sequence[Change]) -> Phrase:
    """Return a phrase that says in a note of its file what was changed."""
    what = "; ".join(change.what for change in changes)
    return replace(phrase, note=(*phrase.note, f"Variation: {what}."))
