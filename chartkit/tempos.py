"""The tempo of a take, and whether it suits the feel.

Conventions: quarter notes a minute.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from chartkit.errors import RequestError
from chartkit.feel import Feel, feel
from chartkit.take import Take

SLOWEST: Final = 30
FASTEST: Final = 400
"""Quarter notes a minute that can be asked for, both included."""


def tempo_of(take: Take) -> Fraction:
    """Return the tempo of a take: its own, the chart's, or the feel's; with a ladder, the first.

    Raises
    ------
    RequestError
        It is outside `SLOWEST`-`FASTEST` or not a number, or the feel cannot be played; or a
        ladder does not lead up from it, or beyond what can be played.
    """
    first = _first(take)
    if take.ladder and possible(take.ladder.up_to) < first:
        raise RequestError(
            f"a tempo ladder from {float(first):g} does not lead up to "
            f"{float(take.ladder.up_to):g}: start slower, or go higher"
        )
    return first


def tempo_in_turn(take: Take, number: int) -> Fraction:
    """Return the tempo of a time round, from 1; raises what `tempo_of` raises."""
    first = tempo_of(take)
    return take.ladder.tempo(first, number) if take.ladder else first


def tempo_warning(take: Take) -> str | None:
    """Return a sentence if the take's tempo is outside its feel's band, else None.

    A tempo ladder is outside it for a reason. Raises what `tempo_of` raises.
    """
    row, tempo = _feel_of(take), tempo_of(take)
    if take.ladder or row.slowest <= tempo <= row.fastest:
        return None
    return (
        f"{row.name} is at home at {row.slowest}-{row.fastest} quarter notes a minute; "
        f"at {float(tempo):g} it may not sound like itself"
    )


def possible(tempo: Fraction) -> Fraction:
    """Return a tempo as it is, exact; raise RequestError if it cannot be played."""
    if not SLOWEST <= tempo <= FASTEST:
        raise RequestError(
            f"a tempo of {float(tempo):g} is outside {SLOWEST}-{FASTEST} quarter notes a minute"
        )
    return Fraction(tempo)


def _first(take: Take) -> Fraction:
    if take.tempo is not None:
        return possible(take.tempo)
    own = take.chart.tempo
    return possible(own.quarters if own else Fraction(_feel_of(take).tempo))


def _feel_of(take: Take) -> Feel:
    return feel(take.feel or take.chart.feel)
