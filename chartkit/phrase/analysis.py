"""What the notes of a phrase are to its chords and to each other.

Conventions [common practice, no source]: a note is counted against the chord that stands where it
starts; in a pick-up, against the first chord; and where it comes an eighth early or less and is
held longer over the next chord than over this one, against the next. A chord tone is the root,
third, fifth or seventh (or sixth) of the chord; a tension is another written tone of it or a tone
of its scale; all else is chromatic.

A note leads to the next one if no rest parts them and the next one is a chord tone on a stronger
place of the bar. Two notes on either side of it, each within a whole tone, are an enclosure;
failing that, one note that is no chord tone itself and lies within a whole tone is an approach
note, and a chromatic one a semitone away is so from an equally strong place too. What is led to is
a target. Any other note that is no chord tone and is reached and left by step, without rests, is a
passing note on the way in one direction, a neighbour on the way back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final, Literal

from chartkit.harmony import Span
from chartkit.line import Line
from chartkit.phrase.degrees import degree_of, is_chord_tone
from chartkit.phrase.line import line_of
from chartkit.phrase.phrase import Phrase, PhraseChord
from chartkit.phrase.pitches import chord_at
from chartkit.phrase.values import Heard, heard
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree, Pitch

Standing = Literal["chord tone", "tension", "chromatic", "unknown"]
Role = Literal["", "target", "approach", "enclosure", "passing", "neighbour"]

EARLY: Final = Fraction(1, 2)
"""A note that starts at most so early may belong to the next chord, in quarter notes."""

SEMITONE: Final = 1
STEP: Final = 2
"""A whole tone, the widest step, in semitones."""


@dataclass(frozen=True, slots=True)
class NoteFacts:
    """A note as it is heard, ties joined, and what it is.

    Parameters
    ----------
    start, length : Fraction
        In quarter notes.
    pitch : Pitch
    chord : Chord or None
        What it is counted against; None where that is not known.
    degree : Degree or None
        None where there is no chord.
    standing : {"chord tone", "tension", "chromatic", "unknown"}
    role : {"", "target", "approach", "enclosure", "passing", "neighbour"}
    early : bool
        It is counted against a chord that comes after its start.
    """

    start: Fraction
    length: Fraction
    pitch: Pitch
    chord: Chord | None
    degree: Degree | None
    standing: Standing
    role: Role = ""
    early: bool = False

    @property
    def end(self) -> Fraction:
        """Where it stops."""
        return self.start + self.length


def facts_of(phrase: Phrase) -> tuple[NoteFacts, ...]:
    """Return what every note of a phrase is, rests left out."""
    line = line_of(phrase)
    sounding = [one for one in heard(phrase.notes) if one.pitch]
    facts = [_fact(tone, phrase, line) for tone in sounding]
    roles = _roles(facts, phrase)
    return tuple(replace(fact, role=role) for fact, role in zip(facts, roles, strict=True))


# ---- Against the chord ----------------------------------------------------------------------


def _fact(tone: Heard, phrase: Phrase, line: Line) -> NoteFacts:
    assert tone.pitch, "rests are left out"
    own = chord_at(phrase.chords, tone.start)
    counted = _counted(tone, own, phrase.chords)
    chord = counted.chord if counted else None
    return NoteFacts(
        tone.start,
        tone.length,
        tone.pitch,
        chord,
        degree_of(chord, tone.pitch.name) if chord else None,
        _standing(tone.pitch, counted, line),
        early=counted is not None and counted.start > max(tone.start, Fraction(0)),
    )


def _counted(
    tone: Heard, own: PhraseChord | None, chords: Sequence[PhraseChord]
) -> PhraseChord | None:
    """Return the chord that a note is counted against."""
    if own is None or tone.start < own.start:
        return own
    following = next((one for one in chords if one.start == own.end), None)
    early = own.end - tone.start
    changes = following is not None and following.chord not in (None, own.chord)
    return following if changes and early <= EARLY and tone.end - own.end > early else own


def _standing(pitch: Pitch, counted: PhraseChord | None, line: Line) -> Standing:
    if counted is None or counted.chord is None:
        return "unknown"
    if is_chord_tone(counted.chord, pitch.name):
        return "chord tone"
    span = next(span for span in line.spans if span.start == counted.start and span.chord)
    return "tension" if pitch.name.pitch_class in _tones(counted.chord, span) else "chromatic"


def _tones(chord: Chord, span: Span) -> frozenset[int]:
    return chord.pitch_classes | (span.scale.pitch_classes if span.scale else frozenset())


# ---- From note to note ----------------------------------------------------------------------


def _roles(facts: Sequence[NoteFacts], phrase: Phrase) -> list[Role]:
    """Return the role of each note; what leads goes before what is led to."""
    roles: list[Role] = [""] * len(facts)
    for i in reversed(range(1, len(facts))):
        led = _leading(facts, i, phrase)
        if led and roles[i] in ("", "target"):
            roles[i] = "target"
            for n in led:
                roles[n] = "enclosure" if len(led) > 1 else "approach"
    for i in range(1, len(facts) - 1):
        if not roles[i]:
            roles[i] = _between(facts[i - 1 : i + 2])
    return roles


def _leading(facts: Sequence[NoteFacts], i: int, phrase: Phrase) -> tuple[int, ...]:
    """Return the indexes of the notes that lead to one, if any do."""
    goal = facts[i]
    if goal.standing != "chord tone" or facts[i - 1].end != goal.start:
        return ()
    rise = _weight(goal.start, phrase) - _weight(facts[i - 1].start, phrase)
    parted = i < 2 or facts[i - 2].end != facts[i - 1].start  # noqa: PLR2004 (two notes before)
    if rise > 0 and not parted and _encloses(facts[i - 2 : i], goal):
        return (i - 2, i - 1)
    if rise > 0 and _approaches(facts[i - 1], goal):
        return (i - 1,)
    return (i - 1,) if rise == 0 and _slides(facts[i - 1], goal) else ()


def _encloses(pair: Sequence[NoteFacts], goal: NoteFacts) -> bool:
    """Tell whether two notes lie on either side of another, both near."""
    one, other = (fact.pitch.midi - goal.pitch.midi for fact in pair)
    near = 0 < abs(one) <= STEP and 0 < abs(other) <= STEP
    return near and one * other < 0


def _approaches(fact: NoteFacts, goal: NoteFacts) -> bool:
    """Tell whether a note leads to the next one by itself."""
    step = abs(fact.pitch.midi - goal.pitch.midi)
    outside = fact.standing in ("tension", "chromatic")
    return outside and 0 < step <= STEP


def _slides(fact: NoteFacts, goal: NoteFacts) -> bool:
    """Tell whether a chromatic note lies a semitone from the next one."""
    near = abs(fact.pitch.midi - goal.pitch.midi) == SEMITONE
    return fact.standing == "chromatic" and near


def _weight(beat: Fraction, phrase: Phrase) -> Fraction:
    """Return how strong a point of its bar is, the first beat most of all.

    The beats come next, then their halves (thirds, where a beat is dotted), then what lies between.
    """
    within = beat % phrase.meter.length
    if within == 0:
        return Fraction(4)
    unit = phrase.meter.unit
    parts = unit / (3 if unit.numerator == 3 else 2)  # noqa: PLR2004 (a dotted beat)
    return next(
        (Fraction(weight) for weight, size in ((3, unit), (2, parts)) if within % size == 0),
        Fraction(1),
    )


def _between(three: Sequence[NoteFacts]) -> Role:
    """Return what a note between two others is."""
    before, fact, after = three
    if fact.standing not in ("tension", "chromatic"):
        return ""
    if before.end != fact.start or fact.end != after.start:
        return ""
    there = fact.pitch.midi - before.pitch.midi
    back = after.pitch.midi - fact.pitch.midi
    if not (0 < abs(there) <= STEP and 0 < abs(back) <= STEP):
        return ""
    return "passing" if there * back > 0 else "neighbour"
