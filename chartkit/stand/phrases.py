"""A phrase on the stand: with the band on its own chords, at any tempo and in any key."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from chartkit.errors import RequestError
from chartkit.make_phrase import phrase_playable, phrase_take
from chartkit.phrase.chart import key_of
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.transpose import transpose_phrase
from chartkit.stand.asked import Asked, take_of
from chartkit.stand.work import Work, work_from
from chartkit.theory.key import Key

OWN: Final = frozenset({"sections", "bars", "exercise", "keys", "ladder", "times", "loop"})
"""What is not asked of a phrase: it goes round as it is."""


def phrase_work(
    phrase: Phrase, asked: Asked, soundfont: str | None = None, a4: float = 440.0
) -> Work:
    """Return a phrase as something to practise.

    Raises
    ------
    RequestError
        Something was asked for that a phrase does not have.
    CannotPlay
        It is not on the neck in that key.
    """
    told = asked.told
    if wrong := sorted(OWN & told.keys()):
        raise RequestError(f"a phrase goes round as it is: leave `{wrong[0]}` out")
    key = told.get("key")
    moved = transpose_phrase(phrase, Key(key, key_of(phrase).mode)) if key else phrase
    rest = replace(asked, fields=tuple(pair for pair in asked.fields if pair[0] != "key"))
    take = take_of(rest, phrase_take(moved).chart, soundfont, a4)
    return work_from(phrase_playable(moved, take, staves=asked.staves), "phrase")


def phrase_facts(phrase: Phrase) -> dict[str, Any]:
    """Return what a page shows of a phrase before it is engraved."""
    chart = phrase_take(phrase).chart
    return {
        "kind": "phrase",
        "title": phrase.title or "Phrase",
        "composer": phrase.source,
        "key": str(key_of(phrase)),
        "tempo": float(phrase.tempo.quarters) if phrase.tempo else None,
        "feel": chart.feel,
        "meter": str(phrase.meter),
        "sections": [],
        "form": [],
    }
