"""The options of routines without a tune, and what they ask for."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any, Final, TypedDict, TypeVar

import click

from chartkit.cli import options
from chartkit.cli.groups import under
from chartkit.cli.instruments import INSTRUMENT
from chartkit.cli.options import MUSIC_HEADING, SOUND_HEADING
from chartkit.cli.practice import click_options
from chartkit.cli.values import KEY, MUSIC, NOTATION, NOTE_VALUES, TEMPO, Typed
from chartkit.errors import RequestError
from chartkit.feel import FEELS
from chartkit.instrument import Instrument
from chartkit.notate.line import Staves
from chartkit.technique.diatonic import FAMILIES, Family
from chartkit.technique.keys import INTERVALS, by_stretches, of_day, round_of_keys
from chartkit.technique.passage import FEEL
from chartkit.technique.scales import Where
from chartkit.technique.warmup import PATTERNS
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName

Function = TypeVar("Function", bound=Callable[..., Any])

EVERY: Final = (*NOTATION, *MUSIC)
USUAL_POSITION: Final = 5
EXERCISE_HEADING: Final = "The exercise"
BY_STRETCHES: Final = "stretches"


def read_pattern(text: str) -> tuple[int, ...]:
    """Read ``1-2-4-3`` or ``1243``, the four fingers in an order."""
    pattern = tuple(int(digit) for digit in text if digit.isdecimal())
    if pattern not in PATTERNS or not re.fullmatch(r"\d-?\d-?\d-?\d", text):
        raise ValueError(f"`{text}` is not an order of the fingers 1 to 4; write one like 1-2-4-3")
    return pattern


PATTERN: Final = Typed("fingers", read_pattern)


class Asked(TypedDict):
    """What every routine takes."""

    instrument: str
    tuning: str | None
    capo: int
    tempo: Fraction
    times: int
    count_in: int
    feel: str
    with_band: bool
    click_on: tuple[int, ...] | None
    one_bar_in: int | None
    a4: float
    soundfont: str | None
    staves: Staves
    paper: str
    large: bool
    path: Path | None
    force: bool
    stems: bool


class Keys(TypedDict):
    """Which keys a routine goes through."""

    key: tuple[NoteName, str | None] | None
    family: str
    keys: int
    day: int
    order: str


ASKED: Final = (
    *INSTRUMENT,
    under(
        MUSIC_HEADING,
        "--tempo",
        type=TEMPO,
        default="60",
        show_default=True,
        help="Quarter notes a minute.",
    ),
    options.HEARD_TIMES,
    options.count_in(1),
    under(
        MUSIC_HEADING,
        "--feel",
        type=click.Choice(list(FEELS)),
        default=FEEL,
        show_default=True,
        help="The feel, and with it the meter.",
    ),
    under(
        SOUND_HEADING,
        "--with-band",
        is_flag=True,
        help="Heard with the band, on the chords or on the tonic's.",
    ),
    *click_options("all"),
    *options.SOUND,
    options.STAVES,
    options.PAPER,
    options.LARGE_PRINT,
    options.writing(EVERY, folder="them all"),
    options.STEMS,
)

KEYS: Final = (
    under(EXERCISE_HEADING, "--key", type=KEY, help="The first key, such as Bb.  [default: C]"),
    under(
        EXERCISE_HEADING,
        "--scale",
        "family",
        type=click.Choice(list(FAMILIES)),
        default="major",
        show_default=True,
        help="The scale.",
    ),
    under(
        EXERCISE_HEADING,
        "--keys",
        type=click.IntRange(1, 12),
        default=1,
        show_default=True,
        help="How many keys a day.",
    ),
    under(
        EXERCISE_HEADING,
        "--day",
        type=click.IntRange(1),
        default=1,
        show_default=True,
        help="Which day: all twelve keys come up before one comes again.",
    ),
    under(
        EXERCISE_HEADING,
        "--order",
        type=click.Choice([*INTERVALS, BY_STRETCHES]),
        default="fourths",
        show_default=True,
        help="How the keys follow; by stretches, the easiest in the position first.",
    ),
)


def note_value(default: str, *, given: bool = True) -> Callable[[Function], Function]:
    """Add ``--notes``; `default` is its value if `given`, else says what comes without it."""
    return under(
        EXERCISE_HEADING,
        "--notes",
        "value",
        type=click.Choice(list(NOTE_VALUES)),
        default=default if given else None,
        help=f"The note value.  [default: {default}]",
    )


def where_of(
    instrument: Instrument,
    position: int | None,
    compass: tuple[int, int] | None,
    *,
    three_a_string: bool,
) -> Where:
    """Return where scales are played; RequestError for what does not go together."""
    if instrument.tuning:
        if compass:
            raise RequestError("a range is for instruments without frets: say --position instead")
        if three_a_string and position:
            raise RequestError("say --position or --three-a-string, not both")
        usual = None if three_a_string else position or USUAL_POSITION
        return Where(usual, instrument.low, instrument.high)
    if position or three_a_string:
        raise RequestError(f"the {instrument.name} has no frets: say --range instead")
    return Where(None, *(compass or (instrument.low, instrument.high)))


def keys_of(wanted: Keys, instrument: Instrument, position: int | None) -> tuple[Key, ...]:
    """Return the day's keys; RequestError where stretches cannot be counted."""
    family = FAMILIES[wanted["family"]]
    first = _first_key(wanted["key"], family)
    order = wanted["order"]
    every = round_of_keys(first, INTERVALS.get(order, INTERVALS["fourths"]))
    if order == BY_STRETCHES:
        if not instrument.tuning or position is None:
            raise RequestError("stretches are counted in a position: choose another --order here")
        every = by_stretches(every, family, position, instrument.tuning)
    return of_day(every, wanted["keys"], wanted["day"])


def _first_key(asked: tuple[NoteName, str | None] | None, family: Family) -> Key:
    tonic, mode = asked or (NoteName("C"), None)
    if mode not in (None, family.mode):
        raise RequestError(f"{family.name} scales are in {family.mode}: say --key {tonic}")
    return Key(tonic, family.mode)
