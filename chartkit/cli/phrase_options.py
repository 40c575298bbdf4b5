"""What the commands of phrases share."""

from __future__ import annotations

from chartkit.cli.values import KeyTyped
from chartkit.errors import RequestError
from chartkit.phrase.chart import key_of
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.transpose import transpose_phrase
from chartkit.theory.key import Key


def in_key(phrase: Phrase, asked: KeyTyped | None) -> Phrase:
    """Return a phrase in the key that was typed; the name that was typed wins.

    Raises
    ------
    RequestError
        The other mode was asked for.
    """
    if asked is None:
        return phrase
    tonic, mode = asked
    home = key_of(phrase)
    if mode not in (None, home.mode):
        raise RequestError(
            f"the phrase is in {home}, and a transposition keeps the mode: say --key {tonic}"
        )
    return transpose_phrase(phrase, Key(tonic, home.mode))
