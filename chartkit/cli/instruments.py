"""The options that tell who plays: the instrument, its strings, and what the hand may do."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import wraps
from typing import Any, Final, TypeVar, cast

import click

from chartkit.cli.groups import under
from chartkit.cli.values import Typed
from chartkit.errors import RequestError
from chartkit.guitar.tunings import TUNINGS, read_tuning, with_capo
from chartkit.instrument import INSTRUMENTS, Instrument, left_handed, restrung
from chartkit.player import Player

Function = TypeVar("Function", bound=Callable[..., Any])


def read_strings(text: str) -> tuple[int, ...]:
    """Read ``3-2-1``, strings by their numbers."""
    if not re.fullmatch(r"\d{1,2}(-\d{1,2})*", text):
        raise ValueError(f"`{text}` is not a set of strings; write one like 3-2-1")
    return tuple(map(int, text.split("-")))


STRINGS: Final = Typed("strings", read_strings)

PLAYER_HEADING: Final = "The player"

INSTRUMENT: Final = (
    under(
        PLAYER_HEADING,
        "--instrument",
        type=click.Choice(list(INSTRUMENTS)),
        default="guitar",
        show_default=True,
        help="Who plays; without frets there is a staff alone.",
    ),
    under(
        PLAYER_HEADING,
        "--tuning",
        metavar="TUNING",
        help=f"{', '.join(TUNINGS)}, or the strings' notes, the last string's first.",
    ),
    under(PLAYER_HEADING, "--capo", type=int, default=0, metavar="FRET", help="Put a capo there."),
)

LEFT_HANDED: Final = under(
    PLAYER_HEADING, "--left-handed", is_flag=True, help="Draw necks as they lie in the right hand."
)

HAND: Final = (
    LEFT_HANDED,
    under(
        PLAYER_HEADING,
        "--strings",
        type=STRINGS,
        help="Use only these strings, such as 4-3-2.",
    ),
    under(
        PLAYER_HEADING,
        "--open-strings",
        is_flag=True,
        help="Use open strings wherever they serve.",
    ),
    under(
        PLAYER_HEADING,
        "--objective",
        type=click.Choice(["sum", "worst"]),
        default="sum",
        show_default=True,
        help="What the fingering keeps least: all its steps together, or the worst of them.",
    ),
)


def adding(added: tuple[Callable[[Any], Any], ...]) -> Callable[[Function], Function]:
    """Add options in the order given."""

    def add(function: Function) -> Function:
        for option in reversed(added):
            function = option(function)
        return function

    return add


def player_options(function: Function) -> Function:
    """Add the options that tell who plays to a command, which gets them as `player`, a `Player`."""

    @wraps(function)
    def command(*args: Any, **given: Any) -> Any:  # noqa: ANN401 (click's own values pass through)
        hand = {name: given.pop(name) for name in ("strings", "open_strings", "objective")}
        strung = (given.pop(name) for name in ("instrument", "tuning", "capo"))
        instrument = instrument_of(*strung)
        mirrored = given.pop("left_handed")
        player = Player(left_handed(instrument) if mirrored else instrument, **hand)
        return function(*args, player=player, **given)

    return cast("Function", adding((*INSTRUMENT, *HAND))(command))


def instrument_of(name: str, tuning: str | None, capo: int) -> Instrument:
    """Return an instrument, strung as asked; RequestError where it has no strings to tune."""
    row = INSTRUMENTS[name]
    if not tuning and not capo:
        return row
    if not row.tuning:
        raise RequestError(f"the {row.name} has no frets: leave --tuning and --capo out")
    strung = read_tuning(tuning) if tuning else row.tuning
    return restrung(row, with_capo(strung, capo))
