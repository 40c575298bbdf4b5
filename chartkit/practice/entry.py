"""One entry of the log: who played what, when, how fast, and how it went.

Conventions: a day is the player's own calendar day, a moment is in UTC and whole seconds. Tempos
are exact, in quarter notes a minute. An entry is what it says: two that agree in every field are
one and the same entry, so that reading an export twice doubles nothing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime
from fractions import Fraction
from typing import Final, Literal, get_args

from chartkit.errors import RequestError, either

Result = Literal["clean", "not yet", "done"]
"""How it went; ``done`` where it was played and not judged."""

RESULTS: Final[tuple[Result, ...]] = get_args(Result)

ACTIVITIES: Final = ("warm-up", "scales", "along the neck", "arpeggios", "vocabulary", "solo")
"""What a plan is made of; an entry may name anything else too."""

ME: Final = "me"
"""The player where none is named."""

FORM: Final = "form"
"""The part that is the whole form."""

POSITIONS: Final = range(1, 25)
FASTEST: Final = 1000
"""Positions on the neck, and the fastest tempo."""

LONGEST: Final = 24 * 60 * 60
"""Seconds that one entry can last."""

LONGEST_NAME: Final = 200
LONGEST_NOTE: Final = 20_000
"""Characters of a name and of a note."""

_MAY_LACK: Final = ("tune", "part", "kind", "family", "key")

_UNWRITABLE: Final = re.compile("[\0\ud800-\udfff]")
_UNPRINTABLE: Final = re.compile("[\0-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
"""What no file in UTF-8 holds, and what would break a line or a table."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing practised.

    Parameters
    ----------
    player : str
    day : date
        The player's own calendar day.
    at : datetime
        When it was noted: UTC, whole seconds.
    activity : str
        One of `ACTIVITIES`, or any other name.
    tune : str or None
        Its id; see `chartkit.practice.log.Log.tune_id`.
    part : str or None
        A section's label ``A``, a join ``A>B``, sections together ``A B``, or `FORM`.
    kind : str or None
        Of the exercise.
    family : str or None
        Of the scale.
    key : str or None
        Such as ``Bb``.
    position : int or None
        On the neck, 1 to 24.
    tempo : Fraction or None
        Quarter notes a minute, over 0 and at most `FASTEST`.
    result : {"clean", "not yet", "done"}
    seconds : int
        How long it took, 0 to a day.
    note : str
        The player's own words, of one line or more.
    item : str
        Key of the planned item that it answers, or empty.

    Raises
    ------
    RequestError
        A field holds what it cannot.
    """

    player: str
    day: date
    at: datetime
    activity: str
    tune: str | None = None
    part: str | None = None
    kind: str | None = None
    family: str | None = None
    key: str | None = None
    position: int | None = None
    tempo: Fraction | None = None
    result: Result = "done"
    seconds: int = 0
    note: str = ""
    item: str = ""

    def __post_init__(self) -> None:
        check_name("player", self.player)
        check_name("activity", self.activity)
        for name in _MAY_LACK:
            text = getattr(self, name)
            if text is not None:
                check_name(name, text)
        if self.item:
            check_name("item", self.item)
        _check_note(self.note)
        if self.result not in RESULTS:
            raise RequestError(f"a result is {either(RESULTS)}, not {self.result!r}")
        if self.position is not None and self.position not in POSITIONS:
            raise RequestError(f"a position is 1 to {POSITIONS[-1]}, not {self.position}")
        if self.tempo is not None and not _is_a_tempo(self.tempo):
            raise RequestError(f"a tempo is over 0 and at most {FASTEST}, not {self.tempo}")
        if not 0 <= self.seconds <= LONGEST:
            raise RequestError(f"an entry lasts 0 to {LONGEST} seconds, not {self.seconds}")
        if self.at.tzinfo is not UTC or self.at.microsecond:
            raise RequestError("the moment of an entry is in UTC and whole seconds")


def _is_a_tempo(tempo: Fraction) -> bool:
    """Tell whether a fraction is over zero and not too fast; in whole numbers, which is quicker."""
    return 0 < tempo.numerator <= FASTEST * tempo.denominator


def check_name(what: str, text: str) -> None:
    """Refuse a name that is empty, padded, too long, or holds what cannot be printed.

    Raises
    ------
    RequestError
    """
    if not text or text != text.strip():
        raise RequestError(f"the {what} must be a name without spaces around it, not {text!r}")
    if len(text) > LONGEST_NAME:
        raise RequestError(f"the {what} is longer than {LONGEST_NAME} characters")
    if _UNPRINTABLE.search(text):
        raise RequestError(f"the {what} holds characters that cannot be printed: {text!r}")


def _check_note(note: str) -> None:
    if len(note) > LONGEST_NOTE:
        raise RequestError(f"a note has at most {LONGEST_NOTE} characters")
    if _UNWRITABLE.search(note):
        raise RequestError("the note holds characters that cannot be written")


def now() -> datetime:
    """Return this moment in UTC and whole seconds."""
    return datetime.now(UTC).replace(microsecond=0)
