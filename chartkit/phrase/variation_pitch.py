"""Variations in pitch: another last note, another octave."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from chartkit.exercise.tones import tones_within
from chartkit.line import span_at
from chartkit.phrase.line import line_of
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.rewriting import rewritten
from chartkit.phrase.strong import sounding_tones
from chartkit.phrase.values import Heard
from chartkit.theory.pitch import Pitch

NEAR: Final = 7
"""Semitones that another last note lies from the old one, and from the note before, at most."""

OCTAVE: Final = 12


def endings(phrase: Phrase) -> Iterator[tuple[Phrase, str]]:
    """Yield a phrase with each other chord tone near its last note, the nearest first."""
    *before, last = sounding_tones(phrase)
    assert last.pitch, "rests are left out"
    chord = span_at(line_of(phrase), last.start).chord
    if chord is None:
        return
    old = last.pitch.midi
    tones = tones_within(chord.root, chord.essential, old - NEAR, old + NEAR)
    for tone in sorted(tones, key=lambda one: abs(one.midi - old)):
        leaps = [abs(one.pitch.midi - tone.midi) for one in before[-1:] if one.pitch]
        if tone.midi == old or any(leap == 0 or leap > NEAR for leap in leaps):
            continue
        made = rewritten(phrase, (*before, replace(last, pitch=tone.pitch)))
        if made:
            yield made, f"ends on {tone.pitch}, the {tone.role}"


def octaves(phrase: Phrase) -> Iterator[tuple[Phrase, str]]:
    """Yield a phrase an octave higher and lower, whole and from each bar on."""
    tones = sounding_tones(phrase)
    for way, name in ((1, "higher"), (-1, "lower")):
        for bar in range(phrase.bars):
            first = bar * phrase.meter.length if bar else tones[0].start
            moved = [_moved(one, way) if one.start >= first else one for one in tones]
            made = rewritten(phrase, moved)
            if made and moved != list(tones):
                where = f" from bar {bar + 1} on" if bar else ""
                yield made, f"an octave {name}{where}"


def _moved(tone: Heard, octaves: int) -> Heard:
    assert tone.pitch, "rests are left out"
    return replace(tone, pitch=Pitch(tone.pitch.name, tone.pitch.octave + octaves))
