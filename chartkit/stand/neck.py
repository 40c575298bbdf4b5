"""What the neck shows beside the music: the arpeggio of each chord, the scale of each key.

Conventions: all in the position of the exercise; what has no note there without a stretch, or no
position, has no drawing. Scales and chords are told by a name in the sound's own order
(`chartkit.stand.clock`), where the latest one counts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from chartkit.errors import CannotPlay
from chartkit.guitar.shapes import Rooted, in_position
from chartkit.notate.symbols import chord_text
from chartkit.stand.drawing import shape_svg
from chartkit.stand.work import Work
from chartkit.theory.symbol import write_symbol


@dataclass(frozen=True, slots=True)
class Shown:
    """A chord or a scale: its name in print, and its drawing or an empty text."""

    name: str
    svg: str


def shown(work: Work) -> Mapping[str, Shown]:
    """Return every scale and chord of a work, by what the sound calls it."""
    chords = {
        write_symbol(symbol.chord): symbol.chord
        for turn in work.pages
        for measure in turn.sheet.measures
        for symbol in measure.chords
        if symbol.chord
    }
    scales = {name: Shown(name, _drawn(work, name, scale)) for _, name, scale in work.scales}
    named = {what: (chord_text(chord), chord) for what, chord in chords.items()}
    return scales | {what: Shown(n, _drawn(work, n, chord)) for what, (n, chord) in named.items()}


def _drawn(work: Work, name: str, tones: Rooted) -> str:
    if work.position is None or work.tuning is None:
        return ""
    try:
        return shape_svg(in_position(name, tones, work.position, work.tuning))
    except CannotPlay:  # no note of it lies there without a stretch
        return ""
