"""The band: a player a file, all called alike.

Conventions: a player takes the whole arrangement and a source of chance, and returns its track in
straight time. Chance is seeded for each part by itself, so leaving a part out changes no other.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from typing import TypeAlias

from chartkit.arrange import Arrangement
from chartkit.track import Part, Track

Player: TypeAlias = Callable[[Arrangement, tuple[int, int] | None, random.Random], Track]


def play(
    arrangement: Arrangement,
    parts: Sequence[Part],
    seed: int,
    avoid: tuple[int, int] | None = None,
) -> tuple[Track, ...]:
    """Return the tracks of the parts asked for, and the clicks of a count-in.

    Parameters
    ----------
    arrangement : Arrangement
    parts : sequence of str
        Of "bass", "chords" and "drums"; others are none of the band's business.
    seed : int
        The same seed gives the same notes, whichever parts are asked for.
    avoid : tuple of int or None
        Lowest and highest pitch of a soloist, MIDI numbers: a register that the band keeps clear
        of where it can.

    Raises
    ------
    RequestError
        A feel is not built.
    CannotPlay
        A chord cannot be played in the register that is left.
    """
    players = _players()
    asked = [part for part in players if part in parts]
    if arrangement.count_in:
        asked.append("click")
    return tuple(
        players[part](arrangement, avoid, random.Random(f"{seed}/{part}")) for part in asked
    )


def _players() -> dict[Part, Player]:
    from chartkit.band import bass, click, comping, drums

    return {"bass": bass.play, "chords": comping.play, "drums": drums.play, "click": click.play}
