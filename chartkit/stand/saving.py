"""From what the stand goes through to one file that holds it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from chartkit.errors import RequestError
from chartkit.stand.asked import asked_of
from chartkit.stand.saved import Kept, saved
from chartkit.stand.server import Desk
from chartkit.stand.sound import Form


def saved_programme(
    desk: Desk, form: Form = "flac", progress: Callable[[float], None] | None = None
) -> str:
    """Return a programme as one HTML document.

    Parameters
    ----------
    desk : Desk
    form : {"flac", "ogg", "wav"}
        See `chartkit.stand.saved.saved`.
    progress : callable or None
        Called with the share that is done, 0 to 1.

    Raises
    ------
    RequestError
        There is nothing to go through.
    ChartkitError
        Something of it cannot be made.
    """
    told = desk.programme.told()
    if not told["items"]:
        raise RequestError(told.get("error", "there is nothing to save: name a FILE"))
    kept = []
    for one in _kept(desk, told["items"]):
        kept.append(one)
        if progress:
            progress(len(kept) / (len(told["items"]) + 1))
    title = told["title"] or kept[0].item["title"]
    return saved(title, kept, form)


def _kept(desk: Desk, items: list[dict[str, Any]]) -> Iterator[Kept]:
    for item in items:
        work, stems = desk.workshop.make(asked_of(item["request"]), item["request"])
        yield Kept({**item, "result": None}, work, stems)
