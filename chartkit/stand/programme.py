"""What the stand goes through, item by item: today's routine, or what the player has named.

An item as the page has it: ``{"key", "title", "activity", "why", "seconds", "request", "result"}``;
`seconds` is 0 where one practises for as long as one likes, `result` is what the log says of it
today, or null.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from chartkit.errors import RequestError
from chartkit.stand.asked import Asked
from chartkit.stand.shelf import Shelf
from chartkit.stand.work import Work

NOT_YET: Final = "there is no routine for today yet: choose a tune instead"


class Programme:
    """Something to go through; may be asked from several threads.

    Parameters
    ----------
    shelf : Shelf
    requests : sequence of mapping
        What the player has named, each as the page would send it; none for today's routine.
    """

    def __init__(self, shelf: Shelf, requests: Sequence[Mapping[str, Any]] = ()) -> None:
        self._shelf = shelf
        self._requests = tuple(requests)

    def told(self) -> dict[str, Any]:
        """Return ``{"title", "items"}``, with an ``"error"`` where there are no items."""
        if self._requests:
            return {"title": "", "items": [self._named(request) for request in self._requests]}
        return {"title": "", "items": [], "error": NOT_YET}

    def work(self, asked: Asked) -> Work:  # noqa: ARG002
        """Return an item of today as something to practise.

        Raises
        ------
        RequestError
            There is no such item.
        """
        raise RequestError(NOT_YET)

    def note(self, entry: Mapping[str, Any]) -> None:  # noqa: ARG002
        """Note in the log how something went."""
        raise RequestError(NOT_YET)

    def _named(self, request: Mapping[str, Any]) -> dict[str, Any]:
        title = self._shelf.chart(request["tune"]).title
        return {
            "key": request["tune"],
            "title": ", ".join((title, *_words(request))),
            "activity": "",
            "why": "",
            "seconds": 0,
            "request": dict(request),
            "result": None,
        }


def _words(request: Mapping[str, Any]) -> Iterator[str]:
    """Yield what part of a tune a request is for, and which exercise on it."""
    if "bars" in request:
        yield "bars {}-{}".format(*request["bars"])
    elif "sections" in request:
        yield " ".join(request["sections"])
    if "exercise" in request:
        yield request["exercise"]["kind"].replace("-", " ")
