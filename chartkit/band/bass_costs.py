"""What a walking line pays for: the whole taste of the bass player, in tables.

Conventions: pitches are MIDI note numbers, distances semitones. A cost is a matter of taste; the
lower, the likelier. Rules are not costs: a line that breaks one is only taken where no other line
exists, and then the rules are given up in the order of `BROKEN`, the cheapest first.

Sources: the figures are set so that moves and chord tones by beat come in the order that the
beat-wise bass of the Weimar Jazz Database shows (semitones the commonest move; roots 1 > 3 > 2, 4;
chord tones 1 > 3 > 2 > 4). Range and rules: common practice, no source.
"""

from __future__ import annotations

from typing import Final

LOW, HIGH = 28, 55
"""E1 to G3."""

BROKEN: Final = {
    "repeat": 1e3,  # a pitch again over a bar line
    "passing": 1e4,  # a note between that does not lie between
    "lead": 1e5,  # a last beat that does not lead to the next chord
    "octave": 1e6,  # a leap over an octave
}

TONE: Final = {
    # on       top, strong, weak
    "bass": (0.2, 0.3, 0.6),
    "root": (0.4, 0.5, 0.6),
    "third": (0.2, 0.5, 0.2),
    "fifth": (0.2, 0.3, 0.2),
    "seventh": (0.9, 0.9, 0.4),
    "scale": (4.0, 1.4, 1.0),
    "outside": (9.0, 2.0, 1.1),
}
"""A tone of the chord, of its scale, or between: by the weight of its beat."""

MOVE: Final = (2.6, 0.0, 0.3, 0.7, 0.9, 0.8, 1.7, 1.0, 1.9, 2.0, 2.4, 3.5, 1.4)
"""A move of so many semitones, from a repeated note to an octave."""

SCALE_BY_SKIP: Final = 0.9
"""More for a skip to, and for one from, a tone that is only of the scale."""

LEAD: Final = {
    #    in its own chord's scale, outside
    -1: (0.0, 0.2),
    +1: (0.1, 0.3),
    -2: (0.7, 1.6),
    +2: (0.4, 1.6),
    -5: (0.9, 2.0),
    +7: (1.1, 2.2),
}
"""Where the note before a new chord lies, counted from the bass note it leads to."""

SKIP, LEAP = 3, 5
"""From so many semitones a move is a skip, and a leap."""

GO_ON: Final = (0.0, 0.0, 0.3, 1.2)
TURN: Final = (1.2, 0.4, 0.1, 0.0)
"""Going on in a direction, and turning, after 1, 2, 3, and 4 or more moves."""

LEAP_ON: Final = 0.3
"""More for a leap that goes on in the direction of the moves before it."""

STEP_AFTER_LEAP: Final = 0.5
"""A step on in the direction of a leap; a step back costs nothing."""

LEAP_AFTER_LEAP: Final = 1.2

HOME: Final = (31, 48)
RIM: Final = 0.06
"""Outside `HOME` a note costs so much times the square of its distance."""

CHANCE: Final = 1.4
"""A note's cost goes up by chance by as much as this."""

AVOIDED: Final = 1.0
"""More for a note in a register that someone else plays in."""

REPEAT_IN_PEDAL: Final = 0.0
"""The same pitch again while the bass stays under changing chords."""

OCTAVE: Final = 12
