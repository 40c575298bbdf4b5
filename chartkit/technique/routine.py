"""A routine: what is practised, ready to print, to play and to hear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from chartkit.guitar.fingering import Fingering, as_given, finger
from chartkit.instrument import Instrument, instrument_words
from chartkit.line import Line
from chartkit.technique.passage import FEEL, Passage, line_of


@dataclass(frozen=True, slots=True)
class Routine:
    """A line to practise.

    Parameters
    ----------
    title, subtitle : str
    instrument : Instrument
    line : Line
    fingering : Fingering or None
        None on an instrument without frets.
    """

    title: str
    subtitle: str
    instrument: Instrument
    line: Line
    fingering: Fingering | None


def routine(
    title: str,
    place: str,
    instrument: Instrument,
    passages: Sequence[Passage],
    value: Fraction,
    *,
    strings: tuple[int, ...] | None = None,
    feel: str = FEEL,
) -> Routine:
    """Return a routine of passages, in even notes of so many quarter notes, in a feel.

    Its subtitle is the place, after the instrument's name unless that is the plain guitar, and the
    feel if it is not the usual one. Steps without grips are fingered on an instrument with frets,
    on `strings` alone where they are given.

    Raises
    ------
    CannotPlay
        A note cannot be played on these strings.
    """
    line = line_of(passages, value, feel)
    grips = [step.grip for passage in passages for step in passage.steps if step.grip]
    if not instrument.tuning:
        fingering = None
    elif grips:
        fingering = as_given(line, grips)
    else:
        fingering = finger(line, instrument.tuning, strings=strings)
    words = [*instrument_words(instrument)]
    words += [place] if place else []
    words += [feel] if feel != FEEL else []
    subtitle = ", ".join(words)
    return Routine(title, subtitle[:1].upper() + subtitle[1:], instrument, line, fingering)
