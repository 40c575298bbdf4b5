"""From a routine without a tune to what is printed and what is heard."""

from __future__ import annotations

import random
from fractions import Fraction
from typing import TYPE_CHECKING

from chartkit.chart import Tempo
from chartkit.exercise.heard import line_track
from chartkit.technique.heard import arranged
from chartkit.technique.routine import Routine
from chartkit.track import Performance

if TYPE_CHECKING:
    from chartkit.notate import Sheet
    from chartkit.notate.line import Staves


def routine_sheet(made: Routine, tempo: Fraction, staves: Staves = "both") -> Sheet:
    """Return a routine as it is printed, its tempo in quarter notes a minute."""
    from chartkit.notate import notate_line

    return notate_line(
        made.line,
        made.fingering,
        title=made.title,
        subtitle=made.subtitle,
        tempo=Tempo(tempo),
        instrument=made.instrument,
        staves=staves,
    )


def routine_performance(
    made: Routine, tempo: Fraction, *, times: int = 1, count_in: int = 0, click: bool = True
) -> Performance:
    """Return what sounds: the line, and a click; see `chartkit.technique.heard.arranged`."""
    from chartkit.band.click import play
    from chartkit.timing import perform

    arrangement = arranged(made, tempo, times=times, count_in=count_in, click=click)
    tracks = (play(arrangement, None, random.Random(0)), line_track(made.line, made.instrument))
    return perform(arrangement, tracks, seed=0)
