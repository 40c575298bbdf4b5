"""What the page tells the log: how something went, for how long, how fast.

``POST api/log`` takes ``{"request": {...}, "result": "clean" | "not yet" | "done", "seconds": n}``,
and may add ``"tempo": n`` as it was played in the end and ``"note": text``; ``"item"`` and
``"key"`` may stand beside them and tell nothing that the request does not.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Final

from chartkit.chart import Chart
from chartkit.errors import RequestError
from chartkit.form import key_of
from chartkit.make_phrase import phrase_take
from chartkit.make_today.facts import key_text
from chartkit.phrase.chart import key_of as key_of_phrase
from chartkit.phrase.phrase import Phrase
from chartkit.practice.entry import FORM, LONGEST, RESULTS, Result
from chartkit.stand.asked import Asked, asked_of, take_of
from chartkit.stand.fields import number, one_of, read, same
from chartkit.take import Take
from chartkit.tempos import tempo_of
from chartkit.theory.key import Key

LONGEST_NOTE: Final = 2000
"""Characters of a note from the page."""

ACTIVITIES: Final = MappingProxyType(
    {"arpeggio": "arpeggios", "connected": "arpeggios", "guide-tones": "arpeggios"}
)
"""The activity of a kind of exercise; every other one is vocabulary, and a chart alone a solo."""


@dataclass(frozen=True, slots=True)
class Noted:
    """How something went.

    Parameters
    ----------
    asked : Asked
        What was played.
    result : {"clean", "not yet", "done"}
    seconds : int
    tempo : Fraction or None
        Quarter notes a minute.
    note : str
    """

    asked: Asked
    result: Result
    seconds: int
    tempo: Fraction | None
    note: str


def text(value: object) -> str:
    """Read the player's own words."""
    if not isinstance(value, str) or len(value) > LONGEST_NOTE:
        raise ValueError(f"a text of at most {LONGEST_NOTE} characters")
    return value


READERS: Final = MappingProxyType(
    {
        "item": text,
        "request": asked_of,
        "result": one_of(same(RESULTS)),
        "seconds": number(0, LONGEST),
        "tempo": number(1, 1000),
        "key": text,
        "note": text,
    }
)


def noted_of(data: Mapping[str, Any]) -> Noted:
    """Read what the page tells.

    Raises
    ------
    RequestError
        It cannot be read.
    """
    found = read(data, READERS)
    if not {"request", "result"} <= found.keys():
        raise RequestError("an entry needs its `request` and its `result`")
    seconds = round(found.get("seconds", Fraction(0)))
    return Noted(
        found["request"], found["result"], seconds, found.get("tempo"), found.get("note", "")
    )


def tune_fields(noted: Noted, chart: Chart) -> dict[str, Any]:
    """Return the fields of an entry on a tune, but for the player, the moment and the tune."""
    take = take_of(noted.asked, chart)
    kind = take.exercise.kind if take.exercise else None
    bars = f"bars {take.bars[0]}-{take.bars[1]}" if take.bars else ""
    return {
        "activity": ACTIVITIES.get(kind, "vocabulary") if kind else "solo",
        "part": bars or " ".join(noted.asked.told.get("sections", ())) or FORM,
        "kind": kind,
        "key": key_text(take.key or key_of(chart)),
        "position": take.exercise.position if take.exercise else None,
        **_how(noted, take),
    }


def phrase_fields(noted: Noted, phrase: Phrase) -> dict[str, Any]:
    """Return the fields of an entry on a phrase, but for the player and the moment."""
    home = key_of_phrase(phrase)
    tonic = noted.asked.told.get("key", home.tonic)
    return {
        "activity": "vocabulary",
        "kind": " ".join(phrase.title.split()) or "phrase",
        "key": key_text(Key(tonic, home.mode)),
        **_how(noted, phrase_take(phrase)),
    }


def _how(noted: Noted, take: Take) -> dict[str, Any]:
    """Return how it went; at the take's tempo where none is told."""
    return {
        "tempo": noted.tempo or noted.asked.told.get("tempo") or tempo_of(take),
        "result": noted.result,
        "seconds": noted.seconds,
        "note": noted.note,
    }
