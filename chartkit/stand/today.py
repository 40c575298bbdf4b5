"""Today's routine and the log, as the page has them."""

from __future__ import annotations

from typing import Any, Final

from chartkit.errors import RequestError
from chartkit.stand.asked import Asked
from chartkit.stand.work import Work

NOT_YET: Final = "there is no routine for today yet: choose a tune instead"


class Today:
    """A player's routine of today, and where what was practised is noted."""

    def told(self) -> dict[str, Any]:
        """Return the items of today."""
        return {"title": "", "items": [], "error": NOT_YET}

    def work(self, asked: Asked) -> Work:  # noqa: ARG002
        """Return an item as something to practise.

        Raises
        ------
        RequestError
            There is no such item.
        """
        raise RequestError(NOT_YET)

    def note(self, data: object) -> None:  # noqa: ARG002
        """Note in the log how something went."""
        raise RequestError(NOT_YET)
