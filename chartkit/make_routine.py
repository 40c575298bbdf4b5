"""From a routine without a tune to what is printed and what is heard."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from chartkit.chart import Tempo
from chartkit.controls.clicks import Click
from chartkit.exercise.heard import line_track
from chartkit.technique.heard import arranged
from chartkit.technique.routine import Routine
from chartkit.track import Part, Performance

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
    made: Routine,
    tempo: Fraction,
    *,
    times: int = 1,
    count_in: int = 0,
    click: Click | bool | None = True,
    parts: tuple[Part, ...] = (),
    seed: int = 0,
) -> Performance:
    """Return what sounds: the line, and a click, the band or both.

    Parameters
    ----------
    made : Routine
    tempo : Fraction
        Quarter notes a minute.
    times : int
        Times round, each alike.
    count_in : int
        Bars.
    click : Click, bool or None
        True is a click on every beat.
    parts : tuple of str
        The parts of the band that play with it.
    seed : int
        Another number, another band take.

    Raises
    ------
    RequestError
        The band is asked to play with a warm-up, or a click is asked for where there is no beat.
    """
    from chartkit import band
    from chartkit.timing import perform

    clicks = Click() if click is True else click or None
    arrangement = arranged(
        made, tempo, times=times, count_in=count_in, click=clicks, band=bool(parts)
    )
    line = line_track(made.line, made.instrument)
    return perform(arrangement, (*band.play(arrangement, parts, seed), line), seed)
