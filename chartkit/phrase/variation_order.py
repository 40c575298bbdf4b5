"""Variations in the order of notes: the rhythm stays, and so do the notes over each chord."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from typing import Final, TypeVar

from chartkit.phrase.phrase import Phrase
from chartkit.phrase.pitches import chord_at
from chartkit.phrase.rewriting import rewritten
from chartkit.phrase.strong import sounding_tones
from chartkit.phrase.values import Heard
from chartkit.theory.symbol import write_symbol

T = TypeVar("T")

GROUP: Final = 4
"""Notes in a group, where groups are turned round."""


def _backwards(notes: Sequence[T]) -> list[T]:
    return list(notes[::-1])


def _halves(notes: Sequence[T]) -> list[T]:
    middle = len(notes) // 2
    return [*notes[middle:], *notes[:middle]]


def _groups(notes: Sequence[T]) -> list[T]:
    groups = (notes[n : n + GROUP] for n in range(0, len(notes), GROUP))
    return [note for group in groups for note in group[::-1]]


def _pairs(notes: Sequence[T]) -> list[T]:
    pairs = (notes[n : n + 2] for n in range(0, len(notes), 2))
    return [note for pair in pairs for note in pair[::-1]]


ORDERS: Final[dict[str, Callable[[Sequence[Heard]], list[Heard]]]] = {
    "the notes backwards": _backwards,
    "the second half of the notes first": _halves,
    "each four notes backwards": _groups,
    "each two notes changed round": _pairs,
}
"""Every order by what it does, over one chord."""


def orders(phrase: Phrase) -> Iterator[tuple[Phrase, str]]:
    """Yield a phrase with each order over all its chords, then over one of them."""
    tones = sounding_tones(phrase)
    groups = [list(g) for _, g in groupby(tones, key=lambda one: _under(phrase, one))]
    for words, order in ORDERS.items():
        made = _reordered(phrase, groups, order, range(len(groups)))
        if made:
            yield made, f"{words} over each chord" if len(groups) > 1 else words
        for n, group in enumerate(groups):
            one = _reordered(phrase, groups, order, (n,)) if len(groups) > 1 else None
            if one:
                yield one, f"{words} over {_chord(phrase, group[0])}"


def _under(phrase: Phrase, tone: Heard) -> object:
    """Return what tells the chords apart: where the one under a note begins."""
    over = chord_at(phrase.chords, tone.start)
    return (over.start if over else None, over.chord if over else None)


def _chord(phrase: Phrase, tone: Heard) -> str:
    """Return the chord under a note, and the bar that it begins in."""
    over = chord_at(phrase.chords, tone.start)
    assert over, "without chords there is only one group"
    name = write_symbol(over.chord) if over.chord else "N.C."
    return f"{name} in bar {over.start // phrase.meter.length + 1}"


def _reordered(
    phrase: Phrase,
    groups: Sequence[Sequence[Heard]],
    order: Callable[[Sequence[Heard]], list[Heard]],
    which: Sequence[int],
) -> Phrase | None:
    found: list[Heard] = []
    for n, group in enumerate(groups):
        turned = order(group) if n in which else group
        found += [replace(a, pitch=b.pitch) for a, b in zip(group, turned, strict=True)]
    return rewritten(phrase, found)
