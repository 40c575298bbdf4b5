"""Why a fingering moves the hand where it does, in sentences that name bars."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from chartkit.guitar.cost import AT_A_REST
from chartkit.guitar.fretboard import numeral
from chartkit.guitar.hand import Grip
from chartkit.guitar.stroke import Stroke


def reasons(strokes: Sequence[Stroke], path: Sequence[Grip]) -> Iterator[str]:
    """Yield a sentence for the hand's first position and one for each shift.

    Parameters
    ----------
    strokes : sequence of Stroke
        At least one.
    path : sequence of Grip
        A fingering of them with the fewest shifts.
    """
    shifts = [i for i in range(1, len(path)) if path[i].position != path[i - 1].position]
    held = strokes[shifts[0] - 1 if shifts else -1].bar
    yield f"start in {numeral(path[0].position)} at {strokes[0].bar}: it holds the line to {held}"
    for index in shifts:
        yield f"shift to {numeral(path[index].position)} {_when(strokes, index, path[index - 1])}"


def _when(strokes: Sequence[Stroke], index: int, last: Grip) -> str:
    """Tell why the hand leaves the position of `last` for the stroke at `index`.

    With the fewest shifts each one is needed: before the next shift there is a note that the
    position left behind does not reach. The hand may leave before that note.
    """
    out = next(i for i in range(index, len(strokes)) if last.position not in strokes[i].positions)
    bar, beyond = strokes[index].bar, strokes[out].bar
    when = f"at {bar}{_chance(strokes[index].weight, strokes[out].weight)}"
    leaves = "the line leaves the window"
    return f"{when}: {leaves}" if bar == beyond else f"{when}: {leaves} at {beyond}"


def _chance(weight: int, weight_later: int) -> str:
    """Return what is good about shifting on the way to a stroke rather than to a later one."""
    if weight == AT_A_REST:
        return ", at a rest"
    return ", after a longer note" if weight < weight_later else ""
