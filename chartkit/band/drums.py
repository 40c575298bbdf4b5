"""The drummer: time, and what the form and the changes lay over it.

Conventions: beats are quarter notes from the arrangement's beat zero, straight. Time is made of
layers (ride, hat, kick, a comment now and then), each filled with rows of figures from the feel's
file; see `chartkit.band.passages` for the rest.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from chartkit.arrange import Arrangement
from chartkit.band.bars import bars, lay, stretches
from chartkit.band.cues import Cue, cues
from chartkit.band.kit import KIT, Struck, sound, strike
from chartkit.band.passages import Choice, over, passages
from chartkit.feel import patterns
from chartkit.feel.pattern import settled, vocabulary
from chartkit.track import TempoMap, Track


def play(
    arrangement: Arrangement,
    avoid: tuple[int, int] | None,  # noqa: ARG001 (all players are called alike)
    rng: random.Random,
) -> Track:
    """Return the drums of an arrangement.

    Parameters
    ----------
    arrangement : Arrangement
    avoid : tuple of int or None
        Of no concern to drums.
    rng : random.Random

    Raises
    ------
    RequestError
        A feel is not built.
    """
    changes, tempo = cues(arrangement), arrangement.tempo
    end = changes[-1].span.start + changes[-1].span.length
    above = [*passages(changes, Choice(tempo, rng), end if arrangement.loop else None)]
    heard = _once(over([*_time(changes, tempo, rng)], above))
    notes = [sound(one, end, rng) for one in heard if changes[0].start <= one.start < end]
    return Track("drums", _kit(changes), tuple(sorted(notes)))


def _kit(changes: Sequence[Cue]) -> int:
    """Return the first kit that a feel asks for, to be played throughout."""
    feels = dict.fromkeys(cue.span.feel for cue in changes)
    kits = (patterns(name)["drums"].get("kit") for name in feels)
    return next((kit for kit in kits if kit is not None), KIT)


def _once(struck: Iterable[Struck]) -> Iterable[Struck]:
    """Leave the hardest of the strokes that layers put on one thing at once."""
    hardest: dict[tuple[Fraction, str], Struck] = {}
    for one in struck:
        same = hardest.setdefault((one.start, one.thing), one)
        if one.velocity > same.velocity:
            hardest[one.start, one.thing] = one
    return hardest.values()


def _time(changes: Sequence[Cue], tempo: TempoMap, rng: random.Random) -> Iterator[Struck]:
    """Yield the strokes of the layers, as if nothing lay over them."""
    for stretch in stretches(bars(changes)):
        cue = stretch[0].cues[0]
        table = patterns(cue.span.feel)["drums"]
        for layer in table["layers"]:
            rows = vocabulary(cue.span.feel, "drums", layer, tempo.at(cue.span.start))
            if layer in table.get("ostinato", ()):
                rows = settled(rows, cue.intensity, rng)
            for thing, stroke in lay(rows, stretch, rng):
                yield strike(stroke.start, thing, stroke.mark, cue)
