"""How a day's time is shared out, and the numbers in the rules: a small file that a player changes.

Conventions: shares count against one another, times are seconds, tempos quarter notes a minute.
The file that comes with the program is beside this module; a player's own has the same tables and
may leave out any line, which then stands as it does here.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any, Final

from chartkit.errors import RequestError, either
from chartkit.practice.entry import ACTIVITIES

FILE: Final = Path(__file__).with_name("template.toml")

TECHNIQUE: Final = ACTIVITIES[:3]
"""What is practised without a tune."""

_LEAST: Final = {
    ("tunes", "begin"): 25,
    ("tunes", "position"): 1,
    ("rules", "up"): 1,
    ("gaps", "rest"): 1,
    ("rules", "under"): 0,
}
"""The least that a number may be where that is not 1, or worth saying."""

_MOST: Final = {
    ("tunes", "begin"): 100,
    ("tunes", "position"): 12,
    ("rules", "up"): 20,
    ("rules", "under"): 30,
    ("keys", "a-day"): 12,
    ("gaps", "count-in"): 4,
    ("gaps", "rest"): 60,
}


@dataclass(frozen=True, slots=True)
class Template:
    """What a player may set about a day.

    Parameters
    ----------
    shares : tuple of (str, Fraction)
        Each activity's part of the whole, in the order of the day; they add up to 1.
    longest : tuple of (str, int)
        Seconds that one part of an activity lasts, about.
    tempos : tuple of (str, Fraction, Fraction)
        Without a tune: the first tempo ever, and the one to stop at.
    begin : Fraction
        Of a tune's goal: where it begins.
    position : int
        Of lines through a tune until its whole form is there.
    at_once : int
        Unfinished tunes that take turns.
    comes_back : int
        Days until a finished tune comes back for the first time.
    clean_days : int
        Different days with clean runs at the goal tempo until a part is there.
    runs_up, misses_down : int
        Clean runs in a row that raise the tempo, misses in a row that lower it.
    up, under : Fraction
        By how much it is raised, and how far under the best a new ladder begins.
    break_days : int
        Days without a run after which a ladder begins anew.
    keys_a_day : int
    count_in : int
        Bars before each item.
    rest : int
        Seconds after each item.
    """

    shares: tuple[tuple[str, Fraction], ...]
    longest: tuple[tuple[str, int], ...]
    tempos: tuple[tuple[str, Fraction, Fraction], ...]
    begin: Fraction
    position: int
    at_once: int
    comes_back: int
    clean_days: int
    runs_up: int
    misses_down: int
    up: Fraction
    under: Fraction
    break_days: int
    keys_a_day: int
    count_in: int
    rest: int


@cache
def usual() -> Template:
    """Return the template that comes with the program."""
    return _made(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read_template(text: str, name: str) -> Template:
    """Return the template of a text.

    Parameters
    ----------
    text : str
    name : str
        What to call it in a message.

    Raises
    ------
    RequestError
        It is no TOML, names something that is not there, or has a number that makes no sense.
    """
    whole = tomllib.loads(FILE.read_text(encoding="utf-8"))
    try:
        own = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RequestError(f"{name}: {error}; see chartkit today --template") from None
    try:
        return _made(_merged(whole, own))
    except ValueError as error:
        raise RequestError(f"{name}: {error}") from None


def _merged(whole: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """Return the whole with a player's own lines in place of its own.

    An own table of shares is taken as it stands: what it leaves out is left out, in its order.
    """
    for table, lines in own.items():
        if table not in whole or not isinstance(lines, dict):
            raise ValueError(f"`{table}` is none of its tables {either(tuple(whole))}")
        for line in lines:
            if line not in whole[table]:
                raise ValueError(f"[{table}] knows {either(tuple(whole[table]))}, not `{line}`")
    merged = {table: {**lines, **own.get(table, {})} for table, lines in whole.items()}
    return {**merged, "shares": own.get("shares") or merged["shares"]}


def _made(tables: Mapping[str, Any]) -> Template:
    number = {
        (table, line): _whole_number(table, line, value)
        for table in ("longest", "tunes", "rules", "keys", "gaps")
        for line, value in tables[table].items()
    }
    return Template(
        shares=tuple(_shares(tables["shares"])),
        longest=tuple((activity, number["longest", activity]) for activity in ACTIVITIES),
        tempos=tuple(_tempos(activity, tables["tempos"][activity]) for activity in TECHNIQUE),
        begin=Fraction(number["tunes", "begin"], 100),
        position=number["tunes", "position"],
        at_once=number["tunes", "at-once"],
        comes_back=number["tunes", "comes-back"],
        clean_days=number["rules", "clean-days"],
        runs_up=number["rules", "runs-up"],
        misses_down=number["rules", "misses-down"],
        up=Fraction(number["rules", "up"], 100),
        under=Fraction(number["rules", "under"], 100),
        break_days=number["rules", "break"],
        keys_a_day=number["keys", "a-day"],
        count_in=number["gaps", "count-in"],
        rest=number["gaps", "rest"],
    )


def _shares(table: Mapping[str, Any]) -> list[tuple[str, Fraction]]:
    for activity, share in table.items():
        if not isinstance(share, int | float) or isinstance(share, bool) or not 0 <= share < 10**6:
            raise ValueError(f"the share of {activity} is a number from 0 up, not {share!r}")
    given = [(activity, Fraction(share)) for activity, share in table.items() if share]
    total = sum(share for _, share in given)
    if not total:
        raise ValueError("no activity has a share of the time")
    return [(activity, share / total) for activity, share in given]


def _tempos(activity: str, pair: object) -> tuple[str, Fraction, Fraction]:
    if (
        not isinstance(pair, list)
        or len(pair) != 2  # noqa: PLR2004 (from, to)
        or not all(isinstance(one, int) for one in pair)
        or not 30 <= pair[0] <= pair[1] <= 400  # noqa: PLR2004
    ):
        raise ValueError(f"the tempos of {activity} are two from 30 to 400, the slower one first")
    return activity, Fraction(pair[0]), Fraction(pair[1])


def _whole_number(table: str, line: str, value: object) -> int:
    least = _LEAST.get((table, line), 20 if table == "longest" else 1)
    most = _MOST.get((table, line), 3600)
    if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= most:
        raise ValueError(f"{line} in [{table}] is a whole number from {least} to {most}")
    return value
