"""Tunings by name, a player's own, and the capo.

Conventions: open strings stand from the last string to the first, as they lie under the hand; on a
re-entrant tuning, such as the ukulele's, that is not the order of their sound. Names, notes and
numbers of frets: common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from chartkit.errors import RequestError, either
from chartkit.guitar.fretboard import FINGERS, STANDARD, Tuning
from chartkit.theory.pitch import Pitch

TUNINGS: Final = {
    tuning.name: tuning
    for tuning in (
        STANDARD,
        Tuning("drop D", (38, 45, 50, 55, 59, 64), 22),
        Tuning("seven-string", (35, 40, 45, 50, 55, 59, 64), 24),
        Tuning("bass", (28, 33, 38, 43), 20),
        Tuning("ukulele", (67, 60, 64, 69), 15),
    )
}
"""Every tuning with a name."""

FEWEST_STRINGS, MOST_STRINGS = 3, 12
OWN_FRETS: Final = 22
HIGHEST: Final = 127 - OWN_FRETS
"""The highest open string whose every fret is a MIDI note."""


def read_tuning(text: str) -> Tuning:
    """Return the tuning of a name, or one of the notes typed.

    Parameters
    ----------
    text : str
        A name of `TUNINGS`, or the open strings with their octaves from the last to the first, such
        as ``D2 A2 D3 G3 A3 D4``.

    Raises
    ------
    RequestError
        It is neither, or there are too few or too many strings.

    >>> read_tuning("D2 A2 D3 G3 A3 D4").open_strings
    (38, 45, 50, 55, 57, 62)
    """
    words = text.split()
    named = TUNINGS.get(" ".join(words))
    if named:
        return named
    try:
        notes = tuple(Pitch.parse(word[:1].upper() + word[1:]).midi for word in words)
    except ValueError as error:
        names = either(tuple(TUNINGS))
        raise RequestError(
            f"`{text}` is not a tuning; choose {names}, or list the strings' notes from the last "
            "string to the first, like D2 A2 D3 G3 A3 D4"
        ) from error
    if not FEWEST_STRINGS <= len(notes) <= MOST_STRINGS:
        raise RequestError(f"`{text}`: a tuning has {FEWEST_STRINGS} to {MOST_STRINGS} strings")
    if not all(0 <= note <= HIGHEST for note in notes):
        raise RequestError(f"`{text}`: an open string lies outside the MIDI notes 0-{HIGHEST}")
    return Tuning(" ".join(words), notes, OWN_FRETS)


def with_capo(tuning: Tuning, fret: int) -> Tuning:
    """Return a tuning with a capo, from which its frets then count; 0 takes none.

    Raises
    ------
    RequestError
        The hand has no room above it.
    """
    if not 0 <= fret <= tuning.frets - FINGERS:
        raise RequestError(f"a capo lies on a fret from 1 to {tuning.frets - FINGERS}, not {fret}")
    raised = tuple(note + fret for note in tuning.open_strings)
    return replace(tuning, open_strings=raised, frets=tuning.frets - fret, capo=tuning.capo + fret)
