"""What each planned line plays: a row for every name in `chartkit.practice.lines`."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from chartkit.line_options import LineOptions
from chartkit.take import ExerciseAsked

EIGHTH: Final = Fraction(1, 2)

LINES: Final = {
    "arpeggios from the root": ExerciseAsked("arpeggio", value=EIGHTH),
    "guide tones": ExerciseAsked("guide-tones"),
    "connected arpeggios": ExerciseAsked("connected", value=EIGHTH),
    "arpeggios from the third": ExerciseAsked(
        "arpeggio", value=EIGHTH, options=LineOptions(first="third")
    ),
    "connected arpeggios, down": ExerciseAsked("connected", value=EIGHTH, upward=False),
    "arpeggios from third to ninth": ExerciseAsked(
        "arpeggio", value=EIGHTH, options=LineOptions(tones="3-5-7-9")
    ),
    "arpeggios, one up and one down": ExerciseAsked(
        "arpeggio", value=EIGHTH, options=LineOptions(shape="turn-about")
    ),
    "cells of four notes": ExerciseAsked("cells", value=EIGHTH),
    "approach notes from below": ExerciseAsked(
        "approach", value=EIGHTH, options=LineOptions(side="below")
    ),
    "enclosures": ExerciseAsked("enclosure", value=EIGHTH),
    "scale runs": ExerciseAsked("scale", value=EIGHTH),
    "a rhythm motif": ExerciseAsked("motif", value=EIGHTH),
    "approach notes from above": ExerciseAsked(
        "approach", value=EIGHTH, options=LineOptions(side="above")
    ),
    "triad pairs": ExerciseAsked("triad-pair", value=EIGHTH),
    "a syncopated motif": ExerciseAsked(
        "motif", value=EIGHTH, options=LineOptions(motif="syncopated")
    ),
}
