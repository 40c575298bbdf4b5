"""What is played once, before the first time round and after the last.

Conventions: an intro or a closing section that the chart writes belongs to the first or the last
time round. Unless a player says otherwise, both are played with the whole tune and neither with a
part of it.
"""

from __future__ import annotations

from dataclasses import replace

from chartkit.chart import Chart
from chartkit.errors import RequestError
from chartkit.form import Form, bar_range, body, chorus, edge_labels, ended, excerpt
from chartkit.take import Take


def edges(chart: Chart, take: Take) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the labels of the written sections that open and that close a take.

    Raises
    ------
    RequestError
        One is asked for that the chart does not have.
    """
    if take.loop:
        return (), ()
    whole = not (take.sections or take.bars)
    opening, closing = edge_labels(chart)
    if take.intro == "written" and not opening:
        raise RequestError("the chart has no written intro, a section labelled [Intro]")
    if take.ending == "written" and not closing:
        raise RequestError(
            "the chart has no written ending, a section labelled [Tag], [Ending] or [Outro]"
        )
    return (
        opening if take.intro == "written" or (whole and take.intro is None) else (),
        closing if take.ending == "written" or (whole and take.ending is None) else (),
    )


def part(chart: Chart, take: Take) -> Form:
    """Return the part of the tune that goes round.

    Raises
    ------
    RequestError
        It is not there.
    CannotPlay
        It cannot be played out.
    """
    if take.bars:
        return bar_range(chart, *take.bars)
    return excerpt(chart, take.sections) if take.sections else body(chart)


def time_round(chart: Chart, take: Take, number: int, of: int) -> Form:
    """Return what is played the number-th of so many times, its edges included.

    Raises what `part` and `edges` raise.
    """
    if take.loop:
        return part(chart, take)
    opening, closing = edges(chart, take)
    if take.sections:
        before = opening if number == 1 else ()
        after = closing if number == of else ()
        form = excerpt(chart, (*before, *take.sections, *after))
    elif take.bars:
        form = part(chart, take)
    else:
        return chorus(_with_edges(chart, (*opening, *closing)), number, of)
    return ended(form) if number == of else form


def _with_edges(chart: Chart, labels: tuple[str, ...]) -> Chart:
    """Return the chart without the opening and closing sections that are not named."""
    opening, closing = edge_labels(chart)
    left_out = {*opening, *closing}.difference(labels)
    return replace(chart, sections=tuple(s for s in chart.sections if s.label not in left_out))
