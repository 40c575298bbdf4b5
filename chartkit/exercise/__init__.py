"""Lines through the changes, one kind a file.

Conventions: a kind is a row of `KINDS` and a module with its maker; nothing else needs to know of
it. A maker takes spans, a range, a start, a note value and a first direction, and returns a line
in the chord symbols' own spelling.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Protocol

from chartkit.exercise.connected import connected
from chartkit.harmony import Span
from chartkit.line import Line


class Maker(Protocol):
    """Makes a line; see `chartkit.exercise.connected.connected` for the parameters."""

    def __call__(
        self,
        spans: Sequence[Span],
        low: int,
        high: int,
        *,
        start: int | None,
        value: Fraction,
        upward: bool,
    ) -> Line:
        """Return the line."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of exercise: its name, its title in print, one line on it for help, and its maker."""

    name: str
    title: str
    description: str
    maker: Maker


KINDS: Final = {
    kind.name: kind
    for kind in (
        Kind(
            "connected",
            "Connected arpeggio",
            "an unbroken arpeggio: each change goes on to its nearest chord tone",
            connected,
        ),
    )
}
"""Every kind by the name that a player asks for."""
