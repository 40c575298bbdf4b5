"""What a player can choose from, for the page to offer."""

from __future__ import annotations

from typing import Any

from chartkit.exercise import KINDS
from chartkit.feel import FEELS
from chartkit.stand.asked import VALUES
from chartkit.tempos import FASTEST, SLOWEST
from chartkit.theory.key import WRITTEN


def choices() -> dict[str, Any]:
    """Return names to ask for: kinds of exercise with what each takes, note values, feels, keys."""
    return {
        "kinds": [
            {
                "name": kind.name,
                "title": kind.title,
                "takes": {option: list(values) for option, values in kind.takes.items()},
                "takesValue": kind.takes_value,
            }
            for kind in KINDS.values()
        ],
        "values": list(VALUES),
        "feels": [row.name for row in FEELS.values() if row.built],
        "keys": {mode: list(names) for mode, names in WRITTEN.items()},
        "tempos": [SLOWEST, FASTEST],
    }
