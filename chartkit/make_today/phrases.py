"""The player's own phrases, which come up in the vocabulary of a day.

Conventions: where they lie is told in `chartkit.phrase.kept`. Of two with one title the second is
called by its id too.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from chartkit.errors import CannotPlay, RequestError
from chartkit.home import home
from chartkit.make_chorus import chorus
from chartkit.phrase.kept import kept_phrases, path_of, read_kept
from chartkit.phrase.likeness import are_alike
from chartkit.phrase.phrase import Phrase
from chartkit.practice.day import PhraseFacts
from chartkit.take import Take


def own_phrases(folder: Path) -> Iterator[PhraseFacts]:
    """Yield the phrases of a player's home, in order of their names."""
    kept = tuple(kept_phrases(folder))
    titles: set[str] = set()
    for one in kept:
        title = one.phrase.title or one.id
        title = f"{title} ({one.id})" if title in titles else title
        titles.add(title)
        like = (two.id for two in kept if two is not one and are_alike(one.phrase, two.phrase))
        yield PhraseFacts(one.id, title, frozenset(like))


def phrase_of(name: str) -> Phrase:
    """Return the phrase of an id.

    Raises
    ------
    RequestError
        It has gone, or cannot be read any more.
    """
    path = path_of(home(), name)
    phrase = read_kept(path)
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
