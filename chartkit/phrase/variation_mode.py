"""A phrase in another mode: from major to minor, and over half-diminished chords.

Conventions: over a cadence or a turnaround in a major key every minor chord becomes
half-diminished, every dominant has a flat nine, and every major chord is a minor sixth; over one
chord alone, major or dominant becomes minor, and each of them half-diminished [common practice, no
source]. A note of the old chord's scale becomes the note on the same letter of the new one's. A
chromatic note keeps its distance from the note that it leads to. Slash basses are left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

from chartkit.analysis import estimate_key
from chartkit.harmony import Span
from chartkit.line import Line, span_at
from chartkit.phrase.analysis import STEP, NoteFacts, facts_of
from chartkit.phrase.chart import key_of
from chartkit.phrase.line import line_of
from chartkit.phrase.phrase import Phrase, PhraseChord
from chartkit.phrase.rewriting import rewritten
from chartkit.phrase.strong import sounding_tones
from chartkit.phrase.transpose import transpose_phrase
from chartkit.theory.chord import Chord
from chartkit.theory.chord_scale import Kind, kind, same_function
from chartkit.theory.key import Key
from chartkit.theory.pitch import Degree, NoteName, Pitch, degrees
from chartkit.theory.scale import Scale
from chartkit.theory.symbol import write_symbol

HALF_DIMINISHED: Final = degrees("1 b3 b5 b7")

IN_MINOR: Final[dict[Kind, tuple[Degree, ...]]] = {
    "minor": HALF_DIMINISHED,
    "dominant": degrees("1 3 5 b7 b9"),
    "major": degrees("1 b3 5 6"),
}
"""What the chords of a major key become, by their kind."""

ALONE: Final[dict[Kind, tuple[tuple[Degree, ...], ...]]] = {
    "major": (degrees("1 b3 5 6"), HALF_DIMINISHED),
    "dominant": (degrees("1 b3 5 b7"), HALF_DIMINISHED),
    "minor": (HALF_DIMINISHED,),
}
"""What a chord that stands alone becomes."""


def modes(phrase: Phrase) -> Iterator[tuple[Phrase, str]]:
    """Yield a phrase in minor, and over a half-diminished chord."""
    chords = [one.chord for one in phrase.chords if one.chord]
    if not chords or len(chords) < len(phrase.chords):
        return
    if all(same_function(chords[0], one) for one in chords):
        for parts in ALONE.get(kind(chords[0]), ()):
            changed = [replace(one, chord=_with(one.chord, parts)) for one in phrase.chords]
            key = estimate_key((one.chord, one.length) for one in changed if one.chord)
            yield from _turned(phrase, changed, key)
    elif key_of(phrase).mode == "major" and all(kind(one) in IN_MINOR for one in chords):
        changed = [_in_minor(one) for one in phrase.chords]
        yield from _turned(phrase, changed, Key(key_of(phrase).tonic, "minor"))


def _with(chord: Chord | None, parts: tuple[Degree, ...]) -> Chord | None:
    return chord and Chord(chord.root, parts)


def _in_minor(one: PhraseChord) -> PhraseChord:
    return replace(one, chord=_with(one.chord, IN_MINOR[kind(one.chord)])) if one.chord else one


def _turned(
    phrase: Phrase, chords: Sequence[PhraseChord], key: Key
) -> Iterator[tuple[Phrase, str]]:
    """Yield a phrase over other chords on the same roots, if every note has its place there."""
    over = replace(phrase, chords=tuple(chords), key=key)
    pitches = _moved(facts_of(phrase), line_of(phrase), line_of(over))
    if pitches is None:
        return
    tones = sounding_tones(phrase)
    moved = [replace(one, pitch=pitch) for one, pitch in zip(tones, pitches, strict=True)]
    made = rewritten(over, moved)
    if made and key != key.customary:
        made = transpose_phrase(made, key.customary, 0)
    if made:
        yield made, f"over {' '.join(_symbols(made.chords))}"


def _symbols(chords: Sequence[PhraseChord]) -> Iterator[str]:
    names = [write_symbol(one.chord) for one in chords if one.chord]
    yield from (name for n, name in enumerate(names) if n == 0 or name != names[n - 1])


def _moved(facts: Sequence[NoteFacts], before: Line, after: Line) -> list[Pitch] | None:
    """Return each note over the new chords, from the last one back; None where one has none."""
    found: list[Pitch] = []
    for n in reversed(range(len(facts))):
        beat = _counted(facts[n], before)
        scales = span_at(before, beat).scale, span_at(after, beat).scale
        here = _diatonic(facts[n].pitch, *scales)
        if here is None and found:
            here = _leading(facts[n].pitch, facts[n + 1].pitch, found[-1])
        if here is None:
            return None
        found.append(here)
    return found[::-1]


def _counted(fact: NoteFacts, line: Line) -> Fraction:
    """Return a beat of the span that a note is counted against."""
    if not fact.early:
        return fact.start
    return next(span.start for span in line.spans if _begins(span, fact))


def _begins(span: Span, fact: NoteFacts) -> bool:
    return span.start > max(fact.start, Fraction(0)) and span.chord == fact.chord


def _diatonic(pitch: Pitch, before: Scale | None, after: Scale | None) -> Pitch | None:
    """Return the new scale's note on a letter, where the old scale has the note."""
    if before is None or after is None or pitch.name not in before.tones:
        return None
    same = [name for name in after.tones if name.letter == pitch.name.letter]
    return _near(same[0], pitch.midi) if len(same) == 1 else None


def _leading(pitch: Pitch, goal: Pitch, moved: Pitch) -> Pitch | None:
    """Return a chromatic note at its old distance from the note that it leads to."""
    way = pitch.midi - goal.midi
    if not 0 < abs(way) <= STEP:
        return None
    midi = moved.midi + way
    alter = (midi - NoteName(pitch.name.letter).pitch_class + 6) % 12 - 6
    name = NoteName(pitch.name.letter, alter)
    return Pitch.at(name if abs(alter) < STEP else name.plain, midi) if abs(alter) < 6 else None  # noqa: PLR2004


def _near(name: NoteName, midi: int) -> Pitch:
    """Return the pitch of a name nearest to a MIDI number."""
    return Pitch.at(name, midi + (name.pitch_class - midi + 6) % 12 - 6)
