"""Twelve weeks of lines through one tune's changes, from its chord tones to the whole neck.

Conventions: a week has three unlike exercises and adds one thing to the week before: a tone to
start from, a direction, a note value, a kind of line, a position. Positions change between weeks,
so that old material comes back in a new place; later the hand goes free. The order is this
project's own judgement of common practice, no source. Go on to the next week when every exercise
comes out clean three times running; a week may well take longer than seven days.

Where beats are dotted quarters, a note value stands for the one that divides such beats: a quarter
for the beat itself, a triplet for its eighths.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from chartkit.chart import Meter
from chartkit.errors import RequestError
from chartkit.line_options import LineOptions
from chartkit.take import ExerciseAsked

HALF, QUARTER, EIGHTH = Fraction(2), Fraction(1), Fraction(1, 2)
TRIPLET, SIXTEENTH = Fraction(1, 3), Fraction(1, 4)

II, V, VII, IX, FREE = 2, 5, 7, 9, None
"""Positions; a free hand goes over the whole instrument."""

DOWN: Final = False


@dataclass(frozen=True, slots=True)
class Week:
    """A week's exercises and what they are for."""

    number: int
    aim: str
    exercises: tuple[ExerciseAsked, ...]


WEEKS: Final = (
    Week(
        1,
        "hear each chord and find its three tones",
        (
            ExerciseAsked("guide-tones", V),
            ExerciseAsked("arpeggio", V, value=QUARTER, options=LineOptions(tones="triads")),
            ExerciseAsked("motif", V, value=EIGHTH, options=LineOptions(tones="triads")),
        ),
    ),
    Week(
        2,
        "four tones to a chord, up and down",
        (
            ExerciseAsked("guide-tones", V, options=LineOptions(first="seventh")),
            ExerciseAsked("arpeggio", V, value=EIGHTH, options=LineOptions(shape="there-and-back")),
            ExerciseAsked("connected", V, value=QUARTER),
        ),
    ),
    Week(
        3,
        "start from any tone",
        (
            ExerciseAsked("arpeggio", V, value=EIGHTH, options=LineOptions(first="third")),
            ExerciseAsked(
                "arpeggio",
                V,
                value=EIGHTH,
                options=LineOptions(first="fifth", shape="turn-about"),
            ),
            ExerciseAsked("motif", V, value=EIGHTH, options=LineOptions(motif="syncopated")),
        ),
    ),
    Week(
        4,
        "go through the changes without a break, in a new position",
        (
            ExerciseAsked("guide-tones", II),
            ExerciseAsked("cells", II, value=EIGHTH),
            ExerciseAsked("connected", II, value=EIGHTH),
        ),
    ),
    Week(
        5,
        "step by step, a chord tone on every beat",
        (
            ExerciseAsked("scale", II, value=EIGHTH),
            ExerciseAsked("connected", II, value=EIGHTH, upward=DOWN),
            ExerciseAsked("motif", II, value=EIGHTH, options=LineOptions(motif="off-beats")),
        ),
    ),
    Week(
        6,
        "from the third to the ninth",
        (
            ExerciseAsked("scale", VII, value=EIGHTH, upward=DOWN),
            ExerciseAsked("arpeggio", VII, value=EIGHTH, options=LineOptions(tones="3-5-7-9")),
            ExerciseAsked(
                "connected",
                VII,
                value=EIGHTH,
                options=LineOptions(tones="3-5-7-9", cadences=True),
            ),
        ),
    ),
    Week(
        7,
        "lead to the beat by one note",
        (
            ExerciseAsked("approach", VII, value=EIGHTH),
            ExerciseAsked("approach", VII, value=EIGHTH, options=LineOptions(side="above")),
            ExerciseAsked("cells", VII, value=EIGHTH, options=LineOptions(shape="turn-about")),
        ),
    ),
    Week(
        8,
        "lead to the beat from both sides; three notes to a beat",
        (
            ExerciseAsked("guide-tones", VII, options=LineOptions(first="seventh")),
            ExerciseAsked("enclosure", VII, value=EIGHTH),
            ExerciseAsked("connected", V, value=TRIPLET),
        ),
    ),
    Week(
        9,
        "two triads to a chord; rhythms across the bar",
        (
            ExerciseAsked("triad-pair", IX, value=EIGHTH),
            ExerciseAsked("scale", IX, value=TRIPLET),
            ExerciseAsked("motif", IX, value=EIGHTH, options=LineOptions(motif="cross-rhythm")),
        ),
    ),
    Week(
        10,
        "the whole range of the instrument",
        (
            ExerciseAsked("connected", FREE, value=EIGHTH),
            ExerciseAsked("scale", FREE, value=EIGHTH),
            ExerciseAsked("enclosure", FREE, value=TRIPLET),
        ),
    ),
    Week(
        11,
        "four notes to a beat",
        (
            ExerciseAsked(
                "arpeggio", V, value=SIXTEENTH, options=LineOptions(shape="there-and-back")
            ),
            ExerciseAsked("scale", VII, value=SIXTEENTH),
            ExerciseAsked("motif", V, value=EIGHTH, options=LineOptions(motif="late-start")),
        ),
    ),
    Week(
        12,
        "everything over the cadences, and a bar of your own after each bar",
        (
            ExerciseAsked("enclosure", V, value=SIXTEENTH, options=LineOptions(cadences=True)),
            ExerciseAsked("triad-pair", VII, value=TRIPLET, options=LineOptions(cadences=True)),
            ExerciseAsked(
                "motif",
                FREE,
                value=EIGHTH,
                options=LineOptions(motif="every-other-bar", tones="3-5-7-9"),
            ),
        ),
    ),
)

_COMPOUND: Final = {
    HALF: Fraction(3),
    QUARTER: Fraction(3, 2),
    EIGHTH: Fraction(1, 2),
    TRIPLET: Fraction(1, 2),
    SIXTEENTH: Fraction(1, 4),
}
"""What a value stands for where the beat is a dotted quarter."""


def exercises_of(week: int, meter: Meter) -> tuple[ExerciseAsked, ...]:
    """Return the exercises of a week, their note values fitted to a meter.

    Raises
    ------
    RequestError
        There is no such week.
    """
    if not 1 <= week <= len(WEEKS):
        raise RequestError(f"there is no week {week}; choose one from 1 to {len(WEEKS)}")
    return tuple(_fitted(asked, meter) for asked in WEEKS[week - 1].exercises)


def _fitted(asked: ExerciseAsked, meter: Meter) -> ExerciseAsked:
    dotted = meter.unit.numerator == 3  # noqa: PLR2004 (three parts to a beat)
    return replace(asked, value=_COMPOUND[asked.value]) if dotted and asked.value else asked
