"""How loud single notes of a soundfont are: what the levels of parts are worked out from.

Conventions: a note's energy is that of its sound as the ear weighs it (`chartkit.output.loudness`),
decay included, both channels added, over seconds, in dB; on the synthesiser with nothing added (a
level of 0 dB). The tables kept in files beside this module were made here
(``python -m chartkit.output.calibrate FONT``); of a soundfont that is not kept a few notes are
measured here when it is used.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from functools import cache
from math import log, log10
from pathlib import Path
from typing import TYPE_CHECKING, Final

from chartkit.errors import SoundError
from chartkit.output.loudness import weighted
from chartkit.output.player import BLOCK, CHANNELS, Event, Synth
from chartkit.track import Part

if TYPE_CHECKING:
    import numpy as np

VELOCITIES: Final = (50, 80, 110)
LENGTHS: Final = (0.06, 0.15, 0.4, 1.0, 2.7)
"""Of the notes measured, in seconds from key down to key up; energies between are interpolated."""

FEW: Final = (0.15, 1.0)
"""The lengths measured of a soundfont that is not kept."""

KEYS: Final = tuple(range(28, 92, 4))
"""Keys of instruments with pitch that are measured."""

PERCUSSION: Final = (36, 37, 38, 39, 40, 42, 43, 44, 46, 47, 49, 50, 51, 53, 76, 77)
"""Keys of the drums and the click that are measured."""

KEPT: Final[tuple[tuple[Part, int], ...]] = (
    *(("bass", program) for program in (32, 33)),
    *(("line", program) for program in (0, 4, 24, 26, 40, 56, 57, 65, 66, 67, 71, 73)),
    *(("drums", kit) for kit in (0, 32, 40)),
)
"""The instruments whose energies are kept."""

PITCHLESS: Final = ("drums", "click")

_RATE: Final = 44_100
_CHUNK: Final = 64
_LONGEST: Final = 60
"""Chunks of so many blocks, and how many of them a decay is waited for: 5.6 seconds."""

_LEAST: Final = 1e-9
_CURVE: Final = 40

Energies = tuple[tuple[int, tuple[float, ...]], ...]
"""Rows of a key, and its energies in dB: by length for each velocity, softest first."""


def energies(font: Path, part: Part, program: int) -> Energies:
    """Return the energies of an instrument's notes, every one of them measured.

    Raises
    ------
    SoundError
        The soundfont does not load or lacks the instrument.
    """
    keys = PERCUSSION if part in PITCHLESS else KEYS
    with _playing(font, part, program) as synth:
        return tuple(
            (
                key,
                tuple(
                    _energy(synth, CHANNELS[part], key, velocity, length)
                    for velocity in VELOCITIES
                    for length in LENGTHS
                ),
            )
            for key in keys
        )


@cache
def estimated(font: Path, part: Part, program: int) -> Energies:
    """Return the energies of an instrument from a few notes, for a soundfont that is not kept.

    Lengths lie on a line between two that are measured; velocities follow the standard's curve, by
    which v is 40 log10(v / 127) dB [SoundFont 2.04, 8.4.1]. A struck piece of a kit has no length.

    Raises
    ------
    SoundError
        The soundfont does not load or lacks the instrument.
    """
    keys, lengths = (PERCUSSION, FEW[:1]) if part in PITCHLESS else (KEYS, FEW)
    with _playing(font, part, program) as synth:
        return tuple((key, tuple(_estimated(synth, CHANNELS[part], key, lengths))) for key in keys)


def _playing(font: Path, part: Part, program: int) -> Synth:
    return Synth(font, {part: program}, levels={part: 0.0}, rate=_RATE)


def _estimated(synth: Synth, channel: int, key: int, lengths: tuple[float, ...]) -> Iterator[float]:
    middle = VELOCITIES[1]
    found = [_energy(synth, channel, key, middle, length) for length in lengths]
    slope = (found[-1] - found[0]) / log(FEW[1] / FEW[0])
    for velocity in VELOCITIES:
        for length in LENGTHS:
            yield found[0] + slope * log(length / FEW[0]) + _CURVE * log10(velocity / middle)


def _played(synth: Synth, channel: int, key: int, velocity: int, seconds: float) -> np.ndarray:
    """Return the sound of a note, until it is over."""
    import numpy as np

    held = round(seconds * _RATE / BLOCK) * BLOCK
    parts = [np.zeros((held, 2), np.float32)]
    synth.play(Event(0, velocity, channel, key))
    synth.write(parts[0])
    synth.play(Event(0, 0, channel, key))
    while synth.sounding and len(parts) < _LONGEST:
        parts.append(np.zeros((_CHUNK * BLOCK, 2), np.float32))
        synth.write(parts[-1])
    synth.silence(channel)
    return np.concatenate(parts)


def _energy(synth: Synth, channel: int, key: int, velocity: int, length: float) -> float:
    import numpy as np

    frames = weighted(_played(synth, channel, key, velocity, length), _RATE)
    return round(float(10 * np.log10(max(_LEAST, (frames**2).sum() / _RATE))), 1)


def rows(font: Path) -> Iterator[str]:
    """Yield the lines of the file that keeps a soundfont's energies."""
    yield "# part\tprogram\tkey\t" + "\t".join(
        f"{velocity}/{length}" for velocity in VELOCITIES for length in LENGTHS
    )
    for part, program in KEPT:
        for key, values in energies(font, part, program):
            yield "\t".join((part, str(program), str(key), *map(str, values)))


if __name__ == "__main__":
    try:
        print(*rows(Path(sys.argv[1])), sep="\n")  # noqa: T201 (a table to keep in a file)
    except SoundError as error:
        sys.exit(str(error))
