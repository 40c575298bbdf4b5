"""Parts that fall silent for a while, whatever they have thought of.

Conventions: beats are quarter notes from the arrangement's beat zero, straight. In a loop what is
struck before beat zero stands for the loop's end.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from operator import attrgetter

from chartkit.arrange import Arrangement
from chartkit.controls.trading import Silence
from chartkit.track import Note, Track


def silenced(track: Track, arrangement: Arrangement) -> Track:
    """Return a track without what would sound in its part's silences."""
    own = [one for one in arrangement.silences if track.part in one.parts]
    if not own:
        return track
    seam = arrangement.passes[-1].end if arrangement.loop else Fraction(0)
    notes = (_left(note, note.start + seam * (note.start < 0), own) for note in track.notes)
    return replace(track, notes=tuple(note for note in notes if note))


def _left(note: Note, at: Fraction, silences: Sequence[Silence]) -> Note | None:
    """Return what is left of a note heard at a beat: all of it, its beginning, or nothing."""
    following = bisect_right(silences, at, key=attrgetter("start"))
    if following and at < silences[following - 1].end:
        return None
    until = silences[following].start - at if following < len(silences) else note.length
    return replace(note, length=min(note.length, until))
