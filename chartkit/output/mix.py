"""Where each part sits: its MIDI channel, name, level, place and share of the room.

Conventions: channels count from 0 (General MIDI's percussion channel 10 is 9 here); controllers
are 0-127, with 64 the middle of the stereo picture.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from chartkit.track import Part


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
        return ((7, self.volume), (10, self.pan), (91, self.reverb))


STRIPS: Final[dict[Part, Strip]] = {
    "bass": Strip("Bass", 0, 100, 64, 20),
    "chords": Strip("Chords", 1, 90, 48, 40),
    "line": Strip("Line", 2, 104, 76, 40),
    "drums": Strip("Drums", 9, 96, 64, 40),
    "click": Strip("Click", 9, 96, 64, 40, program=False),
}
"""Common practice, no source: bass in the middle and driest, chords and line to either side."""
