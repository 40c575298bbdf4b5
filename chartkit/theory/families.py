"""Voicings by the name that players give them: shells, rootless forms, drop 2, quartal.

Conventions: a family is a few recipes in order of preference; what the first one gives that chord
and hand allow is the family's for this chord. A recipe asks for the tones from the lowest voice up,
and for a spacing:

- ``1`` is the root, ``3`` the third (the fourth of a suspension), ``5`` the fifth, plain or
  altered, ``7`` the seventh or sixth, ``9``, ``11`` and ``13`` any of that number; a stroke parts
  what may stand in one place, ``*`` is any tone;
- close: all within an octave; fourths: only fourths between neighbours, perfect or augmented (over
  three voices a major third may close the stack); drop 2: close, but for the second voice from the
  top, which lies an octave lower; free: as it comes.

Everything that `chartkit.theory.voicing` asks of a voicing holds for these too. The rootless forms
are those with the third and with the seventh below (A and B); where the chord or its scale has no
ninth, the root takes its place, and where the hand has neither, they are opened as drop 2. Common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise
from typing import Final, Literal, TypeAlias, get_args

from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree
from chartkit.theory.scale import Scale
from chartkit.theory.voicing import Voicing, is_playable, voicings

Family: TypeAlias = Literal["shell", "rootless", "drop 2", "quartal"]

NAMES: Final[tuple[Family, ...]] = get_args(Family)

OCTAVE: Final = 12
FOURTHS: Final = (5, 6)
MAJOR_THIRD: Final = 4
FOUR: Final = 4

ANY: Final = "*"


@dataclass(frozen=True, slots=True)
class Recipe:
    """How a family's voicings are built.

    Parameters
    ----------
    spacing : str
        A name of `SPACINGS`.
    voices : tuple of str
        What may stand in each voice, the lowest first, for each form.
    """

    spacing: str
    voices: tuple[str, ...]

    def fits(self, voicing: Voicing, chord: Chord) -> bool:
        """Tell whether a voicing of a chord is built so."""
        tones = [tone(chord, degree) for degree in voicing.degrees]
        return SPACINGS[self.spacing](voicing.pitches) and any(
            _matches(form, tones) for form in self.voices
        )


def is_close(pitches: Sequence[int]) -> bool:
    """Tell whether rising pitches lie within an octave."""
    return pitches[-1] - pitches[0] < OCTAVE


def is_drop_2(pitches: Sequence[int]) -> bool:
    """Tell whether four rising pitches are a close chord whose second from the top was dropped.

    >>> is_drop_2((50, 57, 60, 65)), is_drop_2((50, 53, 57, 60))
    (True, False)
    """
    if len(pitches) != FOUR:
        return False
    lowest, second, third, top = pitches
    return third < lowest + OCTAVE < top and top - second < OCTAVE


def is_in_fourths(pitches: Sequence[int]) -> bool:
    """Tell whether rising pitches are stacked in fourths, under a major third at most.

    >>> is_in_fourths((53, 59, 64, 69)), is_in_fourths((55, 60, 64))
    (True, False)
    """
    *inner, last = [high - low for low, high in pairwise(pitches)]
    closed = len(pitches) == FOUR and last == MAJOR_THIRD
    return all(gap in FOURTHS for gap in inner) and (closed or last in FOURTHS)


SPACINGS: Final[dict[str, Callable[[Sequence[int]], bool]]] = {
    "free": lambda _: True,
    "close": is_close,
    "drop 2": is_drop_2,
    "fourths": is_in_fourths,
}
"""By name, what tells a spacing from rising pitches."""

FAMILIES: Final[dict[Family, tuple[Recipe, ...]]] = {
    # name      spacing        voices from the lowest up
    "shell": (
        Recipe("free", ("1 3 7", "1 7 3")),
        Recipe("free", ("3 7 *", "7 3 *", "* 3 7", "* 7 3")),
    ),
    "rootless": (
        Recipe("close", ("3 5/13 7 9", "7 9 3 5/13")),
        Recipe("close", ("3 11 7 9", "7 9 3 11")),
        Recipe("close", ("3 5/11/13 7 1", "7 1 3 5/11/13")),
        Recipe("drop 2", ("7 3 5/11/13 9/1", "3 7 9/1 5/11/13")),
        Recipe("free", ("3 7 9", "7 3 9", "7 3 5/13", "3 7 5/13")),
    ),
    "drop 2": (Recipe("drop 2", ("* * * *",)),),
    "quartal": (Recipe("fourths", ("* * *", "* * * *")),),
}
"""The families; a line more is one more."""


@lru_cache(maxsize=4096)
def in_family(
    family: Family,
    chord: Chord,
    register: tuple[int, int],
    scale: Scale | None = None,
    holds: Callable[[tuple[int, ...]], bool] = is_playable,
) -> tuple[Voicing, ...]:
    """Return the voicings of a chord that belong to a family, in order of pitches.

    Parameters
    ----------
    family : str
        A name of `FAMILIES`.
    chord : Chord
    register : tuple of int
        Lowest and highest MIDI note number.
    scale : Scale or None
        As for `chartkit.theory.voicing.voicings`.
    holds : callable
        Tells whether the hand has rising pitches at once.

    Returns
    -------
    tuple of Voicing
        Empty where the chord has none, or the range no room for them.
    """
    every = voicings(chord, *register, rootless=False, scale=scale)
    for recipe in FAMILIES[family]:
        built = (voicing for voicing in every if recipe.fits(voicing, chord))
        found = tuple(voicing for voicing in built if holds(voicing.pitches))
        if found:
            return found
    return ()


@cache
def tone(chord: Chord, degree: Degree) -> str:
    """Return what a degree is in a recipe: 1, 3, 5, 7, 9, 11 or 13.

    >>> from chartkit.theory.symbol import read_symbol
    >>> chord = read_symbol("C7sus(b9)").chord
    >>> [tone(chord, degree) for degree in chord.degrees]
    ['1', '3', '5', '7', '9']
    """
    if degree == chord.third:
        return "3"
    if degree == chord.seventh:
        return "7"
    return {2: "9", 4: "11", 6: "13"}.get(degree.number, str(degree.number))


def _matches(form: str, tones: Sequence[str]) -> bool:
    wanted = form.split()
    return len(wanted) == len(tones) and all(
        place == ANY or own in place.split("/") for place, own in zip(wanted, tones, strict=True)
    )
