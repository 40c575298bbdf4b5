"""What is put right about each soundfont: it is known by its size, its balance is data.

Conventions: decibels. Instruments against one another are balanced by their levels
(`chartkit.output.soundfonts`); here are the pieces of a drum kit, which share a level. They are
only ever made softer: the level of the kit makes up for it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from chartkit.track import Part

KNOWN: Final = {
    5_969_788: "timgm6mb",  # in Debian
    5_994_284: "timgm6mb",  # inside pretty_midi, the same sounds
    148_398_306: "fluidr3",
    23_614_353: "fluidr3mono",
}
"""Soundfonts by the size in bytes of their files, whatever they are called."""

_STICKS: Final = {
    36: -7.0,
    37: -6.0,
    38: -11.0,
    39: -5.0,
    40: -11.0,
    42: -4.0,
    44: -6.0,
    46: -2.5,
    49: -3.0,
    43: -7.0,
    47: -9.0,
    50: -10.0,
}
_BRUSHES: Final = {42: -3.0, 44: -5.0, 43: -4.0, 47: -6.0, 50: -8.0}

PIECES: Final[dict[str, dict[int, dict[int, float]]]] = {
    "timgm6mb": {0: _STICKS, 32: _STICKS, 40: _BRUSHES},
}
"""By soundfont, kit and percussion key. TimGM6mb's ride lies 12 dB lower under its kick and snare
than FluidR3's does: three quarters of that are made up for [measured, `calibrate`]."""

REMARKS: Final = {
    "timgm6mb": "its ride cymbal is soft, so kick, snare, toms and hats are struck more softly",
}
"""What is put right, in words."""

_FULL: Final = 40
"""A velocity of v is 40 log10(v / 127) dB [SoundFont 2.04, 8.4.1; both soundfonts measured]."""


def name_of(font: Path) -> str | None:
    """Return the name under which a soundfont is known; None where it is not."""
    return KNOWN.get(font.stat().st_size)


def touches(font: Path, part: Part, program: int) -> dict[int, float]:
    """Return what the velocities of keys are multiplied by, where a part's kit is put right."""
    if part != "drums":
        return {}
    softer = PIECES.get(name_of(font) or "", {}).get(program, {})
    return {key: float(10 ** (decibels / _FULL)) for key, decibels in softer.items()}
