"""How loud each instrument of a soundfont is, and so what level each part gets.

Conventions: loudness in LUFS. A part's level depends on the soundfont, its own instrument and the
tempo alone, never on the other parts: leaving one out changes nothing about the rest.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Final

from chartkit.track import Part, Performance

TARGETS: Final[dict[Part, float]] = {
    "bass": -20.9,
    "chords": -23.1,
    "drums": -23.1,
    "line": -22.5,
    "click": -22.0,
}
"""The loudness each part is to have, so that bass, chords and drums make about -18 LUFS together
and their peaks have room. The balance is common practice, no source."""

PACE: Final = 140
"""The tempo at which the targets hold without more ado, in quarters a minute."""

_BY_TEMPO: Final = 7.5
"""Decibels by which music would grow louder when its tempo grows tenfold, since its notes come
closer: measured, on demo tunes at 90, 140 and 220."""

_INSTRUMENTS: Final[tuple[tuple[Part, int], ...]] = (
    ("bass", 32),
    ("bass", 33),
    ("chords", 26),
    ("chords", 0),
    ("chords", 4),
    ("drums", 0),
    ("drums", 32),
    ("drums", 40),
    ("line", 26),
    ("line", 0),
    ("click", 0),
)
_TIMGM6MB: Final = (-23.5, -22.3, -23.4, -28.0, -22.1, -36.0, -36.0, -33.6, -22.2, -26.8, -29.5)
_FLUIDR3: Final = (-21.6, -20.8, -21.7, -24.6, -19.8, -32.4, -29.7, -30.2, -20.1, -23.9, -27.5)
_FLUIDR3MONO: Final = (-22.5, -21.8, -27.1, -28.1, -24.0, -32.8, -25.7, -26.0, -25.5, -27.4, -31.6)
"""The loudness of each instrument (part and program) as `chartkit.output.calibrate` measures it."""

KNOWN: Final = {
    5_969_788: _TIMGM6MB,  # in Debian
    5_994_284: _TIMGM6MB,  # inside pretty_midi, the same sounds
    148_398_306: _FLUIDR3,
    23_614_353: _FLUIDR3MONO,
}
"""By the size in bytes of the soundfont's file, whatever it is called."""


def levels(performance: Performance, soundfont: Path) -> dict[Part, float]:
    """Return the level in dB of each part of a performance, louder or softer where it asks for it.

    Raises
    ------
    SoundError
        The soundfont is not one of those known, and cannot be measured.
    """
    seconds = performance.tempo.seconds(performance.length)
    softer = _BY_TEMPO * math.log10(60 * performance.length / seconds / PACE)
    asked = dict(performance.levels)
    return {
        track.part: TARGETS[track.part]
        - softer
        - loudness(soundfont, track.part, track.program)
        + asked.get(track.part, 0.0)
        for track in performance.tracks
    }


def loudness(soundfont: Path, part: Part, program: int) -> float:
    """Return how loud an instrument is by itself, in LUFS: as it is kept, or else measured."""
    known = dict(zip(_INSTRUMENTS, KNOWN.get(soundfont.stat().st_size, ()), strict=False))
    if (part, program) in known:
        return known[part, program]
    from chartkit.output import calibrate

    return calibrate.loudness(soundfont, part, program)
