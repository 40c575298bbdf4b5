"""How loud an instrument of a soundfont is when it plays what the band would give it.

Conventions: two bars of 4/4 at 140 for each part, at the band's usual velocities, on the
synthesiser with nothing added (a level of 0 dB); loudness in LUFS. The figures kept in
`chartkit.output.soundfonts` were made here, and a soundfont that is not kept is measured here.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache, partial
from pathlib import Path
from typing import Final

from chartkit.output.events import piece
from chartkit.output.loudness import integrated
from chartkit.output.player import Synth
from chartkit.output.stretches import sounding
from chartkit.track import Note, Part, Performance, TempoMap, Track

_RATE: Final = 44_100
_TEMPO: Final = TempoMap(((Fraction(0), Fraction(140)),))
_BEATS: Final = Fraction(8)

# Keys struck together, velocity, length, and starts: times in eighths.
_PHRASES: Final[dict[Part, tuple[tuple[tuple[int, ...], int, int, tuple[int, ...]], ...]]] = {
    "bass": (
        ((36,), 90, 2, (0, 8)),
        ((40,), 90, 2, (2, 14)),
        ((43,), 90, 2, (4, 12)),
        ((45,), 90, 2, (6, 10)),
    ),
    "chords": (
        ((55, 58, 62, 65), 72, 1, (1, 10)),
        ((55, 57, 62, 64), 72, 3, (5, 13)),
    ),
    "drums": (
        ((51,), 76, 2, (0, 2, 4, 6, 8, 10, 12, 14)),
        ((51,), 52, 1, (3, 7, 11, 15)),
        ((44,), 66, 2, (2, 6, 10, 14)),
        ((36,), 30, 2, (0, 2, 4, 6, 8, 10, 12, 14)),
        ((38,), 58, 1, (5, 11)),
    ),
    "line": (
        ((50,), 86, 1, (0, 14)),
        ((53,), 76, 1, (1, 13)),
        ((57,), 86, 1, (2, 12)),
        ((60,), 76, 1, (3, 11)),
        ((64,), 86, 1, (4, 10)),
        ((67,), 76, 1, (5, 9)),
        ((71,), 86, 1, (6, 8)),
        ((72,), 76, 1, (7, 15)),
    ),
    "click": (
        ((76,), 104, 1, (0, 8)),
        ((77,), 88, 1, (4, 10, 12, 14)),
    ),
}
"""Two bars of each part; common practice, no source."""


@cache
def loudness(font: Path, part: Part, program: int) -> float:
    """Return the loudness in LUFS of a part's instrument in a soundfont."""
    import numpy as np

    track = Track(part, program, _phrase(part))
    performance = Performance((track,), _TEMPO, (), (), (), Fraction(0), _BEATS, loop=False)
    synth = partial(Synth, font, {part: program}, levels={part: 0.0}, rate=_RATE)
    _run_up, *frames, _decay = sounding(piece(performance, _RATE).body, synth, _RATE)
    return integrated(np.concatenate(frames), _RATE)


def _phrase(part: Part) -> tuple[Note, ...]:
    return tuple(
        Note(Fraction(start, 2), Fraction(length, 2), key, velocity)
        for keys, velocity, length, starts in _PHRASES[part]
        for start in starts
        for key in keys
    )
