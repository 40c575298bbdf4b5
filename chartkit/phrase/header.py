"""The header words of a phrase: those of a chart, as far as a phrase has a use for them.

Conventions: each word is one row of `HEADER`, which both the reader and the writer go by; its order
is the order of a tidy file.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from chartkit.header import HEADER as CHART_HEADER
from chartkit.header import HeaderWord

HEADER: Final[Mapping[str, HeaderWord]] = {
    "Title": CHART_HEADER["Title"],
    "Source": HeaderWord("source"),
    "Key": CHART_HEADER["Key"],
    "Meter": CHART_HEADER["Meter"],
    "Feel": CHART_HEADER["Feel"],
    "Tempo": CHART_HEADER["Tempo"],
    "Note": HeaderWord("note"),
}

HINTS: Final = {
    "pickup": "the pick-up written before the first bar line of the melody",
    "notes": "`Melody:` for what is played, or `Note:` for free text",
    "changes": "`Chords:`",
    "composer": "`Source:`",
}
"""What could be meant by words that a player may well expect here, in lower case."""
