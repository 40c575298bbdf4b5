"""The options that a player practises with, and what they make of a take."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any, Final, Literal, TypedDict, TypeVar, get_args

import click

from chartkit.cli.groups import under
from chartkit.cli.values import BEATS, KEYS, LEVEL, TEMPO, TEMPO_STEP, KeyTyped, Typed, read_range
from chartkit.controls.clicks import Click
from chartkit.controls.ladder import Ladder
from chartkit.controls.trading import SILENT, Trading
from chartkit.errors import RequestError
from chartkit.take import BAND, ChordsOn, Take
from chartkit.theory.families import NAMES
from chartkit.track import Part

Function = TypeVar("Function", bound=Callable[..., Any])

BAND_HEADING: Final = "The band"
CLICK_HEADING: Final = "A click"
LADDER_HEADING: Final = "A tempo ladder"
KEYS_HEADING: Final = "Another key each time round"
TRADING_HEADING: Final = "Trading"

VOICINGS: Final = {name.replace(" ", "-"): name for name in NAMES}
"""The families of voicings, as they are typed."""


def read_room(text: str) -> tuple[int, int] | Literal["line"]:
    """Read ``A3-C5`` into two MIDI note numbers, or ``line``."""
    return "line" if text.lower() == "line" else read_range(text)


ROOM: Final = Typed("low-high", read_room)

GROUPS: Final = {"fours": 4, "eights": 8}
"""Bars in a turn, by what trading them is called."""


def click_options(default: str | None) -> tuple[Callable[[Function], Function], ...]:
    """Return ``--click`` and ``--one-bar-in``; `default` is read like what is typed."""
    return (
        under(
            CLICK_HEADING,
            "--click",
            "click_on",
            type=BEATS,
            metavar="BEATS",
            default=default,
            help="A click on these beats while the music plays: 2,4 or 1 or all or none."
            f"  [default: {default or 'none'}]",
        ),
        under(
            CLICK_HEADING,
            "--one-bar-in",
            type=click.IntRange(1, 64),
            metavar="BARS",
            help="The click sounds in one bar of so many, and rests in the others.",
        ),
    )


OPTIONS: Final = (
    under(
        BAND_HEADING,
        "--without",
        type=click.Choice(BAND),
        multiple=True,
        help="Leave this part out; may repeat.",
    ),
    under(
        BAND_HEADING,
        "--only",
        type=click.Choice(BAND),
        multiple=True,
        help="This part alone; may repeat.",
    ),
    under(
        BAND_HEADING,
        "--level",
        "levels",
        type=LEVEL,
        multiple=True,
        help="A part louder or softer by so many dB: bass=-3; may repeat.",
    ),
    under(
        BAND_HEADING,
        "--chords-on",
        type=click.Choice([*get_args(ChordsOn)]),
        help="What the chords are played on.  [default: by the feel]",
    ),
    under(
        BAND_HEADING,
        "--voicings",
        type=click.Choice([*VOICINGS]),
        help="The chord player keeps to these, wherever a chord has one.",
    ),
    under(
        BAND_HEADING,
        "--long-chords",
        is_flag=True,
        help="Plain long chords, struck where they come and held.",
    ),
    under(
        BAND_HEADING,
        "--leave-room",
        type=ROOM,
        help="Chords and bass keep out of this register where they can, such as A3-C5; line: out "
        "of that of an exercise.",
    ),
    *click_options(None),
    under(
        LADDER_HEADING,
        "--faster-by",
        type=TEMPO_STEP,
        help="Quarter notes a minute that each step up adds; it starts from --tempo.",
    ),
    under(
        LADDER_HEADING,
        "--faster-every",
        type=click.IntRange(1, 500),
        metavar="TIMES",
        help="Times round at each tempo.  [default: 1]",
    ),
    under(
        LADDER_HEADING, "--up-to", type=TEMPO, help="The last tempo, kept to the end of the track."
    ),
    under(
        KEYS_HEADING,
        "--key-each-time",
        "keys",
        type=KEYS,
        default="0",
        help="fourths (the cycle), semitones up or down such as +1 or -2, or keys such as C,F,Bb.",
    ),
    under(
        TRADING_HEADING,
        "--trade",
        type=click.Choice(list(GROUPS)),
        help="The band and the player take turns of four or eight bars; the band begins.",
    ),
    under(
        TRADING_HEADING,
        "--trade-over",
        type=click.Choice(list(SILENT)),
        help="What is left of the band in the player's bars.  [default: drums]",
    ),
)


class Practice(TypedDict):
    """What `OPTIONS` hand to a command."""

    without: tuple[Part, ...]
    only: tuple[Part, ...]
    levels: tuple[tuple[Part, float], ...]
    chords_on: ChordsOn | None
    voicings: str | None
    long_chords: bool
    leave_room: tuple[int, int] | Literal["line"] | None
    click_on: tuple[int, ...] | None
    one_bar_in: int | None
    faster_by: Fraction | None
    faster_every: int | None
    up_to: Fraction | None
    keys: int | tuple[KeyTyped, ...]
    trade: str | None
    trade_over: Literal["drums", "nothing"] | None


def practised(take: Take, asked: Practice) -> Take:
    """Return a take as the `OPTIONS` want it practised.

    Raises
    ------
    RequestError
        What is asked for does not go together.
    """
    clicks = clicks_asked(asked["click_on"], asked["one_bar_in"])
    return replace(
        take,
        parts=_parts(asked, has_click=clicks is not None),
        levels=tuple(sorted(dict(asked["levels"]).items())),
        chords_on=asked["chords_on"],
        voicings=VOICINGS[asked["voicings"]] if asked["voicings"] else None,
        long_chords=asked["long_chords"],
        leave_room=asked["leave_room"],
        click=clicks,
        ladder=_ladder(asked),
        trading=_trading(asked),
    )


def _parts(asked: Practice, *, has_click: bool) -> tuple[Part, ...]:
    if asked["only"] and asked["without"]:
        raise RequestError("say who plays with --only or with --without, not with both")
    wanted = asked["only"] or BAND
    left = tuple(part for part in BAND if part in wanted and part not in asked["without"])
    if not left and not has_click:
        raise RequestError(
            "nobody would play: leave at least one of bass, chords and drums in, or add --click"
        )
    return left


def clicks_asked(beats: tuple[int, ...] | None, one_bar_in: int | None) -> Click | None:
    """Return the click that the options ask for, if they do."""
    if beats is None and one_bar_in is None:
        return None
    return Click(beats or (), one_bar_in or 1)


def _ladder(asked: Practice) -> Ladder | None:
    by, up_to, every = asked["faster_by"], asked["up_to"], asked["faster_every"]
    if by is not None and up_to is not None:
        return Ladder(by, up_to, every or 1)
    if (by, up_to, every) != (None, None, None):
        raise RequestError("a tempo ladder needs both --faster-by and --up-to")
    return None


def _trading(asked: Practice) -> Trading | None:
    if asked["trade"]:
        return Trading(GROUPS[asked["trade"]], asked["trade_over"] or "drums")
    if asked["trade_over"]:
        raise RequestError("--trade-over goes with --trade fours or --trade eights")
    return None
