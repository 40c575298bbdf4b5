"""What stands on the music stand: a page and its sound, made from one request.

The bars of the page and the bars of the sound carry the same `chartkit.form.BarId`, so a bar that
sounds can be found on the page.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from chartkit.form import key_of
from chartkit.make import exercise_sheet, performance
from chartkit.take import Take
from chartkit.track import Performance
from chartkit.transpose import transpose_to

if TYPE_CHECKING:
    from chartkit.notate import Sheet
    from chartkit.notate.line import Staves


@dataclass(frozen=True, slots=True)
class Playable:
    """A page and what sounds while it is read.

    Parameters
    ----------
    title : str
    sheet : Sheet
    performance : Performance
    """

    title: str
    sheet: Sheet
    performance: Performance


def playable(take: Take, staves: Staves = "both") -> Playable:
    """Return a take as page and sound: its exercise where it has one, else its chart.

    Raises
    ------
    CannotPlay
        The exercise does not exist where it is asked for.
    """
    return Playable(take.chart.title, page(take, staves), performance(take))


def page(take: Take, staves: Staves = "both") -> Sheet:
    """Return the page of a take alone: its exercise where it has one, else its whole chart.

    Raises what `playable` raises.
    """
    from chartkit.notate import notate_chart

    if take.exercise:
        return exercise_sheet(take, staves)
    moved = take.key is not None and take.key != key_of(take.chart)
    chart = transpose_to(take.chart, take.key) if moved and take.key else take.chart
    return notate_chart(chart)
