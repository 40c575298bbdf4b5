"""What strong beats may carry: the rule that no variation of a phrase breaks.

Conventions [common practice, no source]: strong are the first beat of a bar, the middle of a bar
with an even number of beats, and wherever a chord begins. What sounds there, struck or held, is a
tone of the chord as written, or one of its scale that lies no semitone above the root, the third or
the fifth; over a dominant, none above the third: a flat nine and a flat thirteen may stand there. A
chromatic note anywhere leads on: one of the two notes after it lies within a whole tone. What the
phrase had itself, at the same place or between the same two notes, may stay.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from chartkit.harmony import Span
from chartkit.line import Line, span_at
from chartkit.phrase.analysis import STEP, facts_of
from chartkit.phrase.degrees import is_chord_tone
from chartkit.phrase.line import line_of
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.values import Heard, heard
from chartkit.theory.chord import Chord
from chartkit.theory.chord_scale import kind
from chartkit.theory.pitch import Pitch


def sounding_tones(phrase: Phrase) -> tuple[Heard, ...]:
    """Return the notes of a phrase as they are heard, rests left out."""
    return tuple(one for one in heard(phrase.notes) if one.pitch)


def strong_beats(spans: Sequence[Span]) -> tuple[Fraction, ...]:
    """Return the strong beats of some spans in order, those of a pick-up left out."""
    found: set[Fraction] = set()
    for span in spans:
        if span.start < 0:
            continue
        found |= {span.bar_start, span.start} if span.new else {span.bar_start}
        if span.meter.beats % 2 == 0:
            found.add(span.bar_start + span.meter.length / 2)
    end = spans[-1].start + spans[-1].length
    return tuple(sorted(beat for beat in found if beat < end))


def stands(pitch: Pitch, span: Span) -> bool:
    """Tell whether a note may sound on a strong beat of a span."""
    sound = pitch.name.pitch_class
    if span.chord is None:
        return span.scale is None or sound in span.scale.pitch_classes
    if sound in span.chord.pitch_classes or is_chord_tone(span.chord, pitch.name):
        return True
    in_scale = span.scale is not None and sound in span.scale.pitch_classes
    return in_scale and (sound - 1) % 12 not in _covered(span.chord)


def _covered(chord: Chord) -> set[int]:
    """Return what no note of the scale may lie a semitone above."""
    numbers = (3,) if kind(chord) == "dominant" else (1, 3, 5)
    parts = [degree for degree in chord.essential if degree.number in numbers]
    return {(chord.root.pitch_class + part.semitones) % 12 for part in parts}


def keeps_harmony(phrase: Phrase, original: Phrase) -> bool:
    """Tell whether a phrase made from another one keeps the rule."""
    broken, hanging = [*_broken(phrase, original)], [*_hanging(phrase, original)]
    return not broken and not hanging


def _broken(phrase: Phrase, original: Phrase) -> Iterator[Fraction]:
    """Yield the strong beats that carry what they may not."""
    line = line_of(phrase)
    own = _own_carried(original)
    for beat, pitch, chord in _carried(phrase, line):
        if not stands(pitch, span_at(line, beat)) and (beat, pitch, chord) not in own:
            yield beat


@lru_cache(maxsize=64)
def _own_carried(original: Phrase) -> frozenset[tuple[Fraction, Pitch, Chord | None]]:
    return frozenset(_carried(original, line_of(original)))


def _carried(phrase: Phrase, line: Line) -> Iterator[tuple[Fraction, Pitch, Chord | None]]:
    """Yield each strong beat that something sounds on, with the note and the chord."""
    tones = sounding_tones(phrase)
    for beat in strong_beats(line.spans):
        for tone in tones:
            if tone.start <= beat < tone.end and tone.pitch:
                yield beat, tone.pitch, span_at(line, beat).chord


def _hanging(phrase: Phrase, original: Phrase) -> Iterator[Pitch]:
    """Yield the chromatic notes that do not lead on."""
    facts = facts_of(phrase)
    own = _own_pairs(original)
    for n, fact in enumerate(facts):
        after = [other.pitch.midi for other in facts[n + 1 : n + 3]]
        leads = any(abs(midi - fact.pitch.midi) <= STEP for midi in after)
        kept = bool(after) and (fact.pitch.midi, after[0]) in own
        if fact.standing == "chromatic" and not (leads or kept):
            yield fact.pitch


@lru_cache(maxsize=64)
def _own_pairs(original: Phrase) -> frozenset[tuple[int, int]]:
    """Return each two notes that follow each other."""
    pairs = pairwise(sounding_tones(original))
    return frozenset((a.pitch.midi, b.pitch.midi) for a, b in pairs if a.pitch and b.pitch)
