"""How loud parts are, from the notes they play and from how loud single notes of a soundfont are.

Conventions: a part's power is the energy of its notes over the time it plays, in LUFS without its
gates: what it adds to a mix in which something always sounds. Tables are those of
`chartkit.output.calibrate`, read from the files beside this module or measured; between a table's
keys, velocities and lengths energies are interpolated, in dB.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache
from importlib.resources import files
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING, Final

from chartkit.output.calibrate import LENGTHS, PITCHLESS, VELOCITIES, Energies, estimated
from chartkit.output.corrections import name_of, touches
from chartkit.output.events import Strike
from chartkit.output.player import BLOCK
from chartkit.track import Part

if TYPE_CHECKING:
    import numpy as np

_SHORTEST, _LONGEST = 0.03, 6.0
"""Lengths of notes in seconds beyond which nothing changes."""

_PAUSE: Final = 2.0
"""Seconds without a note after which a part does not count as playing."""


def energy(strikes: Sequence[Strike], font: Path, part: Part, program: int, rate: int) -> float:
    """Return the energy of a part's notes together, at a level of 0 dB: 1 is 0 dB for a second.

    Parameters
    ----------
    strikes : sequence of Strike
    font : Path
    part : str
    program : int
    rate : int
        Frames a second.

    Raises
    ------
    SoundError
        The soundfont is not one of those known, and cannot be measured.
    """
    import numpy as np

    keys = np.array([strike.key for strike in strikes], float)
    touch = touches(font, part, program)
    velocities = np.array([s.velocity * touch.get(s.key, 1.0) for s in strikes])
    lengths = np.array([strike.end - strike.start for strike in strikes]) * BLOCK / rate
    return float(_energies(_table(font, part, program), keys, velocities, lengths).sum())


def playing(strikes: Sequence[Strike], whole: float, rate: int) -> float:
    """Return for how many of the whole seconds a part plays; its long pauses do not count."""
    pauses, now = 0.0, 0.0
    for strike in (*strikes, None):
        start = strike.start * BLOCK / rate if strike else whole
        pauses += max(0.0, start - now - _PAUSE)
        now = max(now, strike.end * BLOCK / rate) if strike else now
    return whole - pauses


def _energies(
    table: Energies, keys: np.ndarray, velocities: np.ndarray, lengths: np.ndarray
) -> np.ndarray:
    """Return the energy of each note."""
    import numpy as np

    known = np.array([key for key, _ in table], float)
    values = np.array([row for _, row in table]).reshape(len(known), len(VELOCITIES), len(LENGTHS))
    axes = (
        _between(known, np.clip(keys, known[0], known[-1])),
        _between(np.log(VELOCITIES), np.log(velocities)),
        _between(np.log(LENGTHS), np.log(np.clip(lengths, _SHORTEST, _LONGEST))),
    )
    decibels = np.zeros(len(keys))
    for corner in product((0, 1), repeat=len(axes)):
        share = np.ones(len(keys))
        for (_, part), side in zip(axes, corner, strict=True):
            share = share * (part if side else 1 - part)
        places = tuple(place + side for (place, _), side in zip(axes, corner, strict=True))
        decibels += share * values[places]
    energy: np.ndarray = 10 ** (decibels / 10)
    return energy


def _between(known: np.ndarray, wanted: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return which of the known values are below those wanted, and how far on to the next."""
    import numpy as np

    places = np.clip(np.searchsorted(known, wanted) - 1, 0, len(known) - 2)
    return places, (wanted - known[places]) / (known[places + 1] - known[places])


def _table(font: Path, part: Part, program: int) -> Energies:
    """Return an instrument's energies as they are kept, or else measured."""
    name = name_of(font)
    alike = "drums" if part in PITCHLESS else "pitched"
    kept = _kept(name).get((alike, program)) if name else None
    if kept:
        return kept
    return estimated(font, part, program)


@cache
def _kept(name: str) -> dict[tuple[str, int], Energies]:
    """Return a file's tables by kind of part and program."""
    lines = (files("chartkit.output") / f"{name}.tsv").read_text(encoding="utf-8").splitlines()
    return _tables(line.split("\t") for line in lines if not line.startswith("#"))


def _tables(lines: Iterable[Sequence[str]]) -> dict[tuple[str, int], Energies]:
    tables: dict[tuple[str, int], list[tuple[int, tuple[float, ...]]]] = {}
    for part, program, key, *values in lines:
        alike = "drums" if part in PITCHLESS else "pitched"
        tables.setdefault((alike, int(program)), []).append((int(key), tuple(map(float, values))))
    return {instrument: tuple(rows) for instrument, rows in tables.items()}
