"""Which voicing each chord gets: the least costly way through all of them.

Conventions: costs are in semitones that one voice moves. What a chord costs in itself (its spacing,
its place in the register, a little chance) and what the way from one to the next costs (the voices'
movement, the step of the top voice) is added up over the whole arrangement, and in a loop from the
last chord back to the first. The weights are common practice, no source.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise
from typing import Final, TypeAlias

from chartkit.band.hands import Hand
from chartkit.band.way import cheapest
from chartkit.errors import CannotPlay
from chartkit.harmony import Span
from chartkit.theory.chord import Chord
from chartkit.theory.families import Family, in_family
from chartkit.theory.pitch import Degree
from chartkit.theory.scale import Scale
from chartkit.theory.symbol import write_symbol
from chartkit.theory.voicing import MAJOR_THIRD, MOST, Voicing, movement, voicings

CHANCE: Final = 1.0
"""How much chance may add to a voicing."""

STEP: Final = (0.5, 0, 0, 0.1, 0.3, 0.6, 1.2, 2, 3, 4)
"""Cost of the top voice's step, by semitones; the last holds for all wider ones."""

UNUSUAL: Final = 0.8
"""A voicing that is of none of the families which are usual on the instrument."""

THIN: Final = 0.6
"""A voice left out."""

CLUSTER: Final = 0.4
"""A semitone between neighbours."""

CROWD: Final = 0.8
"""Three voices within a minor third."""

CROWDED: Final = 3

INVERTED: Final = 1.0
"""A sharp nine under the third, where it sounds like a minor third."""

STILL: Final = 1.0
"""The same voicing again, for a chord that goes on."""

HOLE: Final = 1.0
"""An interval wider than `WIDEST` between neighbours."""

WIDEST: Final = 9

SWAY: Final = 3.0
"""The height aimed at lies so many semitones from the middle of the range at most."""

TURN: Final = 6
"""Chords from one turn of the height aimed at to the next."""

EASE: Final = 4
"""So many semitones from the height aimed at, a voicing costs as much as a step."""

SHARP_NINE: Final = Degree(9, 1)

Register: TypeAlias = tuple[int, int]
"""The lowest and the highest pitch, MIDI note numbers."""


@dataclass(frozen=True, slots=True)
class Choice:
    """Out of what voicings are chosen.

    Parameters
    ----------
    hand : Hand
    register : tuple of int
        Where they may lie.
    family : str or None
        The family to keep to wherever a chord has a voicing of it that the hand has; None for all,
        the usual ones first.
    """

    hand: Hand
    register: Register
    family: Family | None = None


def lead(
    spans: Sequence[Span],
    choice: Choice,
    rng: random.Random,
    *,
    loop: bool,
    held: int = 0,
) -> tuple[Voicing, ...]:
    """Return a voicing for each of these spans, led from one to the next.

    Parameters
    ----------
    spans : sequence of Span
        Each with a chord.
    choice : Choice
    rng : random.Random
    loop : bool
        The last leads into the first.
    held : int
        So many spans at the end are held for long and get as many voices as they can have.

    Raises
    ------
    CannotPlay
        The register has no room for one of the chords.
    """
    asked = [
        (span.chord, span.scale, choice.hand.families(span), place >= len(spans) - held)
        for place, span in enumerate(spans)
    ]
    kinds = {kind: number for number, kind in enumerate(dict.fromkeys(asked))}
    places = [kinds[kind] for kind in asked]
    offered = [_offered(*kind, choice) for kind in kinds]
    standing = [
        [(_standing(one) + UNUSUAL * (one not in usual), _height(one)) for one in some]
        for some, usual in offered
    ]
    costs = [
        [
            cost + ((height - aim) / EASE) ** 2 + rng.random() * CHANCE
            for cost, height in standing[kind]
        ]
        for kind, aim in zip(places, _aims(len(places), sum(choice.register) / 2, rng), strict=True)
    ]

    @cache
    def between(before: int, after: int) -> list[list[float]]:
        return [[_step(one, two) for one in offered[before][0]] for two in offered[after][0]]

    chosen = cheapest(costs, lambda place: between(places[place - 1], places[place]), closed=loop)
    return tuple(offered[kind][0][index] for kind, index in zip(places, chosen, strict=True))


@lru_cache(maxsize=4096)
def _offered(
    chord: Chord | None,
    scale: Scale | None,
    families: tuple[Family, ...],
    full: bool,
    choice: Choice,
) -> tuple[tuple[Voicing, ...], frozenset[Voicing]]:
    """Return what a chord may have, and what is usual for it; `full`: of the most voices only.

    Where no family is asked for, the bass has the root.
    """
    assert chord is not None
    usual = frozenset(one for family in families for one in _of(family, chord, scale, choice))
    found = _of(choice.family, chord, scale, choice) if choice.family else ()
    if not found:
        every = voicings(chord, *choice.register, scale=scale)
        found = tuple(one for one in every if choice.hand.holds(one.pitches))
    if not found:
        low, high = choice.register
        raise CannotPlay(
            f"There is no room for {write_symbol(chord)} between the MIDI notes {low} and {high}; "
            "allow the chords a wider range."
        )
    most = max(len(voicing.pitches) for voicing in found)
    return tuple(one for one in found if len(one.pitches) == most) if full else found, usual


def _of(family: Family, chord: Chord, scale: Scale | None, choice: Choice) -> tuple[Voicing, ...]:
    """Return the voicings of a family that the hand has in the register."""
    return in_family(family, chord, choice.register, scale, choice.hand.holds)


def _aims(count: int, middle: float, rng: random.Random) -> Iterator[float]:
    """Yield the height that each chord aims at, on a line through drawn turns and round again."""
    turns = [middle + rng.uniform(-SWAY, SWAY) for _ in range(0, count, TURN)]
    for place in range(count):
        number, along = divmod(place, TURN)
        one, two = turns[number], turns[(number + 1) % len(turns)]
        yield one + (two - one) * along / TURN


def _height(voicing: Voicing) -> float:
    """Return the mean of a voicing's pitches."""
    return sum(voicing.pitches) / len(voicing.pitches)


def _standing(voicing: Voicing) -> float:
    """Return what a voicing costs in itself, wherever it lies."""
    gaps = [high - low for low, high in pairwise(voicing.pitches)]
    return (
        THIN * (MOST - len(voicing.pitches))
        + CLUSTER * gaps.count(1)
        + CROWD * sum(one + two <= CROWDED for one, two in pairwise(gaps))
        + HOLE * sum(gap > WIDEST for gap in gaps)
        + INVERTED * _is_inverted(voicing)
    )


def _is_inverted(voicing: Voicing) -> bool:
    places = [voicing.degrees.index(d) for d in (SHARP_NINE, MAJOR_THIRD) if d in voicing.degrees]
    return len(places) > 1 and places[0] < places[1]


def _step(before: Voicing, after: Voicing) -> float:
    """Return what it costs to go from one voicing to another."""
    voices = max(len(before.pitches), len(after.pitches))
    top = min(abs(after.top - before.top), len(STEP) - 1)
    still = STILL * (before.pitches == after.pitches)
    return movement(before.pitches, after.pitches) / voices + STEP[top] + still
