"""What the stand goes through, item by item: today's routine, or what the player has named.

An item as the page has it: ``{"key", "title", "activity", "why", "seconds", "request", "result"}``;
`seconds` is 0 where one practises for as long as one likes, `result` is what the log says of it
today, or null.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from chartkit.errors import ChartkitError, RequestError
from chartkit.phrase.phrase import Phrase
from chartkit.stand.asked import Asked
from chartkit.stand.noting import Noted, noted_of, phrase_fields, tune_fields
from chartkit.stand.shelf import YOURS, Shelf
from chartkit.stand.work import Work

if TYPE_CHECKING:
    from chartkit.stand.routine import Routine

NO_ROUTINE: Final = "this stand keeps no log and has no routine: choose a tune"


NAMED_TITLE: Final = "On the stand"


class Programme:
    """Something to go through; may be asked from several threads.

    Parameters
    ----------
    shelf : Shelf
    requests : sequence of mapping
        What the player has named, each as the page would send it; none for today's routine.
    routine : Routine or None
        The player's day and log.
    """

    def __init__(
        self,
        shelf: Shelf,
        requests: Sequence[Mapping[str, Any]] = (),
        routine: Routine | None = None,
    ) -> None:
        self._shelf = shelf
        self._requests = tuple(requests)
        self._routine = routine

    def told(self) -> dict[str, Any]:
        """Return ``{"title", "items"}``, with an ``"error"`` where there are no items."""
        if self._requests:
            items = [self._named(request) for request in self._requests]
            return {"title": NAMED_TITLE if items[1:] else items[0]["title"], "items": items}
        try:
            return self._day().told()
        except ChartkitError as error:
            return {"title": "", "items": [], "error": str(error)}

    def about(self, asked: Asked) -> object:
        """Return what an item of the routine is made from."""
        return self._day().about(asked)

    def work(self, asked: Asked) -> Work:
        """Return an item of the routine as something to practise.

        Raises
        ------
        RequestError
            There is no such item.
        """
        return self._day().work(asked)

    def note(self, entry: Mapping[str, Any]) -> None:
        """Note in the log how something went; see `chartkit.stand.noting`.

        Raises
        ------
        RequestError
            It is no entry, or is about nothing that is here.
        OutputError
            The log cannot be written.
        """
        noted = noted_of(entry)
        if noted.asked.item is not None:
            self._day().note(noted.asked, noted.result, noted.seconds, noted.tempo, noted.note)
        else:
            self._note_tune(noted)

    def _note_tune(self, noted: Noted) -> None:
        from chartkit.make_today import content_hash

        name = noted.asked.tune or ""
        place, content = self._shelf.place(name), self._shelf.content(name)
        routine = self._day()
        if isinstance(content, Phrase):
            entry = routine.entry(**phrase_fields(noted, content))
        else:
            path = str(place.path) if place.owner == YOURS else None
            fields = tune_fields(noted, content)
            title = content.title or "Untitled"
            entry = routine.entry(tune=(content_hash(content), path, title), **fields)
        routine.record((entry,))

    def _day(self) -> Routine:
        if self._routine is None:
            raise RequestError(NO_ROUTINE)
        return self._routine

    def _named(self, request: Mapping[str, Any]) -> dict[str, Any]:
        title = self._shelf.content(request["tune"]).title
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
