"""What level each part of a performance gets, whichever soundfont plays it.

Conventions: loudness in LUFS. A part's level depends on the soundfont and on the part's own notes
alone, never on the other parts: leaving one out changes nothing about the rest. Bass, chords and
drums together have one loudness, `TOGETHER`, in every feel and at every tempo.
"""

from __future__ import annotations

from math import log10
from pathlib import Path
from typing import Final

from chartkit.output.corrections import touches
from chartkit.output.energies import energy, playing
from chartkit.output.events import Piece, Strike, piece
from chartkit.output.loudness import OFFSET
from chartkit.output.player import CHANNELS
from chartkit.track import Part, Performance, Track

TOGETHER: Final = -20.0
"""The loudness of bass, chords and drums together: the drums' strokes then stay below the ceiling
of peaks but for a few, so that the limiter seldom has anything to do."""

BALANCE: Final[dict[Part, float]] = {
    "bass": 0.0,
    "chords": -2.5,
    "drums": -2.5,
    "line": -1.0,
}
"""Power of each part against the bass, in dB; common practice, no source."""

_DYING: Final = 0.6
_NEAR: Final = 1.5
_MOST_DYING: Final = 1.0
"""Decibels for each second that strokes are apart beyond so many, and the most of them [measured in
ballads from 48 to 80]."""

CLICK: Final = -26.0
"""The loudness of a click on every beat at `CLICK_TEMPO`; at any tempo a click is the same."""

CLICK_TEMPO: Final = 140

_MINUTE: Final = 60
_BAND: Final = ("bass", "chords", "drums")


def levels(performance: Performance, soundfont: Path, rate: int) -> dict[Part, float]:
    """Return the level in dB of each part of a performance, louder or softer where it asks for it.

    Parameters
    ----------
    performance : Performance
    soundfont : Path
    rate : int
        Frames a second.

    Raises
    ------
    SoundError
        The soundfont is not one of those known, and cannot be measured.
    """
    asked = dict(performance.levels)
    music = piece(performance, rate)
    return {
        track.part: _own(track, soundfont, music, rate) + asked.get(track.part, 0.0)
        for track in performance.tracks
    }


def touch(performance: Performance, soundfont: Path) -> dict[tuple[int, int], float]:
    """Return what velocities are multiplied by, by channel and key, to put a soundfont right."""
    return {
        (CHANNELS[track.part], key): times
        for track in performance.tracks
        for key, times in touches(soundfont, track.part, track.program).items()
    }


def target(part: Part) -> float:
    """Return the power that a part is to have, in LUFS."""
    if part == "click":
        return CLICK
    band = sum(10 ** (BALANCE[one] / 10) for one in _BAND)
    return TOGETHER - 10 * log10(band) + BALANCE[part]


def _own(track: Track, soundfont: Path, music: Piece, rate: int) -> float:
    """Return the level that brings a part's own notes to its power."""
    strikes, frames = _notes(track.part, music)
    if not strikes:
        return 0.0
    if track.part == "click":
        seconds = len(strikes) * _MINUTE / CLICK_TEMPO
    else:
        seconds = playing(strikes, frames / rate, rate)
    apart = seconds / len({strike.start for strike in strikes})
    found = energy(strikes, soundfont, track.part, track.program, rate) / seconds
    return target(track.part) - _dying(apart) - OFFSET - 10 * log10(found)


def _dying(apart: float) -> float:
    """Return what a meter makes of strokes so many seconds apart, in dB, leaving out their ends."""
    return min(_MOST_DYING, _DYING * max(0.0, apart - _NEAR))


def _notes(part: Part, music: Piece) -> tuple[tuple[Strike, ...], int]:
    """Return a part's notes in a round, or else in the count-in, and the frames of that."""
    for stretch in filter(None, (music.body, music.lead_in)):
        own = tuple(one for one in stretch.strikes if one.channel == CHANNELS[part])
        if own:
            return own, stretch.frames
    return (), music.body.frames
