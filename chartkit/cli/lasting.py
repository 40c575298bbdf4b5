"""The options that say how long a track lasts, and how it begins and ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any, Final, Literal, TypedDict, TypeVar, get_args

import click

from chartkit.cli.groups import under
from chartkit.cli.values import MINUTES
from chartkit.controls.intro import Intro
from chartkit.controls.keys import times_for
from chartkit.errors import RequestError
from chartkit.take import Take
from chartkit.tempos import tempo_of

Function = TypeVar("Function", bound=Callable[..., Any])

LENGTH_HEADING: Final = "How long"
ENDS_HEADING: Final = "Its two ends"


class Lasting(TypedDict):
    """What `lasting` hands to a command."""

    times: int | None
    minutes: Fraction | None
    intro: Intro | None
    ending: Literal["written", "standard"] | None
    last_chord: Literal["ring", "cut"]


def lasting(times: str, least: int, ending: str) -> Callable[[Function], Function]:
    """Add the options for a track's length and ends.

    Parameters
    ----------
    times : str
        The option that says how often.
    least : int
        How often where nobody says; a ladder and keys may need more.
    ending : str
        What is told about endings.
    """
    often = f"Times round.  [default: {least}, or as often as a ladder or all the keys need]"
    added = (
        under(LENGTH_HEADING, times, "times", type=click.IntRange(1, 500), help=often),
        under(
            LENGTH_HEADING,
            "--minutes",
            type=MINUTES,
            help="As many whole times round as fit into so many minutes, at least one.",
        ),
        under(
            ENDS_HEADING,
            "--intro",
            type=click.Choice(get_args(Intro)),
            help="Before the first time round: the chart's own intro, the tune's last four bars, a "
            "vamp on its last turnaround, or none.",
        ),
        under(
            ENDS_HEADING,
            "--ending",
            type=click.Choice(["written", "standard"]),
            help=f"{ending} written: the chart's own closing section; standard: straight to the "
            "last chord.",
        ),
        under(
            ENDS_HEADING,
            "--last-chord",
            type=click.Choice(["ring", "cut"]),
            default="ring",
            show_default=True,
            help="Held until it has died away, or cut off short.",
        ),
    )

    def add(function: Function) -> Function:
        for option in reversed(added):
            function = option(function)
        return function

    return add


def lasted(take: Take, asked: Lasting, least: int) -> Take:
    """Return a take that lasts as long as the options want it to.

    Raises
    ------
    RequestError
        It is to last for so many times and for so many minutes.
    """
    if asked["times"] and asked["minutes"]:
        raise RequestError("say how often to play or for how many minutes, not both")
    return replace(
        take,
        times=asked["times"] or _usual_times(take, least),
        minutes=asked["minutes"],
        intro=asked["intro"],
        ending=asked["ending"],
        last_chord=asked["last_chord"],
    )


def _usual_times(take: Take, least: int) -> int:
    """Return how often it takes to reach the top of a ladder and to come through every key."""
    climbing = take.ladder.times(tempo_of(take)) if take.ladder else 1
    return max(least, times_for(take.keys), climbing)
