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
    """Return the tracks of the parts asked for, and the clicks that the arrangement asks for.

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
        A feel is not built, or a click is asked for where there is no beat.
    CannotPlay
        A chord cannot be played in the register that is left.
    """
    from chartkit.band.alike import play_alike
    from chartkit.band.silence import silenced

    players = _players()
    asked = [part for part in players if part in parts]
    if arrangement.count_in or arrangement.click:
        asked.append("click")

    def played(part: Part) -> Track:
        def player(music: Arrangement) -> Track:
            return players[part](music, avoid, random.Random(f"{seed}/{part}"))

        alike = arrangement.same and len(arrangement.passes) > 1 and part != "click"
        return play_alike(arrangement, player) if alike else player(arrangement)

    return tuple(silenced(played(part), arrangement) for part in asked)


def _players() -> dict[Part, Player]:
    from chartkit.band import bass, click, comping, drums

    return {"bass": bass.play, "chords": comping.play, "drums": drums.play, "click": click.play}
