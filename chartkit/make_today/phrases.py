"""The player's own phrases, which come up in the vocabulary of a day.

Conventions: they lie in the folder ``phrases`` of the player's home, one a file; its name without
the ending is the phrase's id. What cannot be read is passed over: `chartkit phrase check` tells.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Final

from chartkit.errors import CannotPlay, ChartkitError, RequestError
from chartkit.home import home
from chartkit.make_chorus import chorus
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.reader import parse
from chartkit.practice.day import PhraseFacts
from chartkit.source import load
from chartkit.take import Take

FOLDER: Final = "phrases"
ENDING: Final = ".phrase"


def own_phrases(folder: Path) -> Iterator[PhraseFacts]:
    """Yield the phrases of a player's home, in order of their names."""
    for path in sorted((folder / FOLDER).glob(f"*{ENDING}")):
        if phrase := _read(path):
            yield PhraseFacts(path.stem, phrase.title or path.stem)


def phrase_of(name: str) -> Phrase:
    """Return the phrase of an id.

    Raises
    ------
    RequestError
        It has gone, or cannot be read any more.
    """
    path = home() / FOLDER / f"{name}{ENDING}"
    phrase = _read(path)
    if phrase is None:
        raise RequestError(f"{path} is not there any more: ask for the day again")
    return phrase


def fits(name: str, take: Take, position: int | None) -> bool:
    """Tell whether a phrase can be played somewhere in a take."""
    try:
        chorus(phrase_of(name), take, position)
    except CannotPlay:
        return False
    return True


def _read(path: Path) -> Phrase | None:
    try:
        return parse(load(str(path)), str(path)).phrase
    except ChartkitError:
        return None
