"""Where each part sits: its MIDI channel, name, level, place and share of the room.

Conventions: channels count from 0 (General MIDI's percussion channel 10 is 9 here); controllers
are 0-127, with 64 the middle of the stereo picture.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log10
from typing import Final, NamedTuple

from chartkit.track import Part, Performance

VOLUME: Final = 7
"""The controller of a channel's volume."""

_FULL: Final = 127
_SCALE: Final = 40
"""A volume of v is 40 log10(v / 127) dB, a velocity likewise [General MIDI 2 and Downloadable
Sounds, recommended curves, from memory]."""


@dataclass(frozen=True, slots=True)
class Strip:
    """One part's settings.

    Parameters
    ----------
    name : str
        The track's name in a MIDI file.
    channel : int
        MIDI channel from 0.
    volume, pan, reverb : int
        Controllers 7, 10 and 91. The volume is for players of the MIDI file: in audio each
        font's own levels stand instead (`chartkit.output.soundfonts`).
    program : bool
        The track sets its channel's program; the click leaves the drummer's kit alone.
    """

    name: str
    channel: int
    volume: int
    pan: int
    reverb: int
    program: bool = True

    @property
    def controls(self) -> tuple[tuple[int, int], ...]:
        """Controller numbers and values."""
        return ((VOLUME, self.volume), (10, self.pan), (91, self.reverb))


STRIPS: Final[dict[Part, Strip]] = {
    "bass": Strip("Bass", 0, 100, 64, 20),
    "chords": Strip("Chords", 1, 90, 48, 40),
    "line": Strip("Line", 2, 104, 76, 40),
    "drums": Strip("Drums", 9, 96, 64, 40),
    "click": Strip("Click", 9, 96, 64, 40, program=False),
}
"""Common practice, no source: bass in the middle and driest, chords and line to either side."""


class Strength(NamedTuple):
    """How loud a part is in a MIDI file: its channel's volume, and what velocities are times."""

    volume: int
    velocity: float


def strengths(performance: Performance) -> dict[Part, Strength]:
    """Return how loud each part is, raised or lowered as the performance asks for.

    Where a part would need more than there is, all are softer together: the balance holds. Of two
    parts on one channel the softer one has softer velocities.
    """
    asked = dict(performance.levels)
    wanted = {
        track.part: _SCALE * log10(STRIPS[track.part].volume / _FULL) + asked.get(track.part, 0.0)
        for track in performance.tracks
    }
    beyond = max(0.0, *wanted.values()) if wanted else 0.0
    channels: dict[int, float] = {}
    for part, level in wanted.items():
        channel = STRIPS[part].channel
        channels[channel] = max(level, channels.get(channel, level))
    return {
        part: Strength(
            round(_FULL * _times(channels[STRIPS[part].channel] - beyond)),
            _times(level - channels[STRIPS[part].channel]),
        )
        for part, level in wanted.items()
    }


def _times(decibels: float) -> float:
    """Return what a volume or a velocity is multiplied by for so many dB."""
    return float(10 ** (decibels / _SCALE))
