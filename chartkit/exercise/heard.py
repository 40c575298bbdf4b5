"""A line as a part of the band.

Conventions: straight time, as every player writes it; `chartkit.timing` swings it. A note on a
beat is louder than one between beats, and the first of a bar loudest; of two strokes in a row one
is a little lighter, as a plectrum going down and up gives them [common practice, no source].
"""

from __future__ import annotations

from chartkit.instrument import GUITAR, Instrument
from chartkit.line import Line, Tone, sounding, span_at
from chartkit.track import Note, Track

BAR, BEAT, BETWEEN = 96, 86, 76
"""Velocities; all even, so that a lighter second stroke never equals its neighbour."""


def line_track(line: Line, instrument: Instrument = GUITAR) -> Track:
    """Return a line as the part "line": ties joined, rests left out, accents by the meter."""
    notes = (
        Note(tone.start, tone.length, tone.pitch.midi, _accent(line, tone) - index % 2)
        for index, tone in enumerate(sounding(line))
    )
    return Track("line", instrument.program, tuple(notes))


def _accent(line: Line, tone: Tone) -> int:
    span = span_at(line, tone.start)
    within = tone.start - span.bar_start
    if within == 0:
        return BAR
    return BEAT if within % span.meter.unit == 0 else BETWEEN
