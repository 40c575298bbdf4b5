"""A click that goes on while the music plays.

Conventions: beats are counted from 1, the feel's own: a dotted quarter in 12/8.
"""

from __future__ import annotations

from dataclasses import dataclass

from chartkit.errors import RequestError


@dataclass(frozen=True, slots=True)
class Click:
    """Where it sounds.

    Parameters
    ----------
    beats : tuple of int
        Beats of the bar, from 1; empty for all of them.
    one_bar_in : int
        It sounds in the first of every so many bars, and rests in the others.

    Raises
    ------
    RequestError
        There are no such beats or bars.
    """

    beats: tuple[int, ...] = ()
    one_bar_in: int = 1

    def __post_init__(self) -> None:
        if self.one_bar_in < 1 or any(beat < 1 for beat in self.beats):
            raise RequestError("a click sounds on beats of the bar from 1, in one bar of 1 or more")

    def falls_on(self, beat: int) -> bool:
        """Tell whether a beat of a bar that clicks has a click."""
        return not self.beats or beat in self.beats
