"""Variations by notes that lead: one added before a chord tone, or one taken away.

Conventions: an added note is an eighth, a semitone below its target or the step of the scale above
it; it takes the end of a longer note or of a rest. A note that is taken away gives its time to the
note before it or, where a rest is there, to the rest.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

from chartkit.exercise.spelling import semitone_below, step_above
from chartkit.line import span_at
from chartkit.phrase.analysis import NoteFacts, facts_of
from chartkit.phrase.line import line_of
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.rewriting import rewritten
from chartkit.phrase.strong import sounding_tones
from chartkit.phrase.values import Heard
from chartkit.theory.pitch import Pitch

EIGHTH: Final = Fraction(1, 2)


def approaches(phrase: Phrase) -> Iterator[tuple[Phrase, str]]:
    """Yield a phrase with a leading note more, then with one less."""
    tones, facts = sounding_tones(phrase), facts_of(phrase)
    for n, fact in enumerate(facts):
        if fact.standing == "chord tone" and (fact.start * 2).denominator == 1:
            yield from _added(phrase, tones, n)
    for n, fact in enumerate(facts[:-1]):
        if fact.role in ("approach", "enclosure"):
            yield from _taken(phrase, tones, n, fact)


def _added(phrase: Phrase, tones: Sequence[Heard], n: int) -> Iterator[tuple[Phrase, str]]:
    before, target = tones[:n], tones[n]
    assert target.pitch, "rests are left out"
    start = target.start - EIGHTH
    if before and before[-1].start >= start:
        return
    if before and before[-1].end > start:
        before = (*before[:-1], replace(before[-1], length=start - before[-1].start))
    for pitch in _leads(phrase, target.start, target.pitch):
        made = rewritten(phrase, (*before, Heard(start, EIGHTH, pitch), *tones[n:]))
        if made and not (before and before[-1].pitch == pitch):
            yield made, f"{pitch} added, which leads to {target.pitch} in {_bar(phrase, target)}"


def _leads(phrase: Phrase, beat: Fraction, target: Pitch) -> Iterator[Pitch]:
    yield semitone_below(target)
    scale = span_at(line_of(phrase), beat).scale
    if scale:
        yield step_above(scale, target)


def _taken(
    phrase: Phrase, tones: Sequence[Heard], n: int, fact: NoteFacts
) -> Iterator[tuple[Phrase, str]]:
    before = tones[:n]
    if before and before[-1].end == fact.start:
        before = (*before[:-1], replace(before[-1], length=fact.end - before[-1].start))
    made = rewritten(phrase, (*before, *tones[n + 1 :]))
    if made:
        yield made, f"without the {fact.role} note {fact.pitch} in {_bar(phrase, fact)}"


def _bar(phrase: Phrase, tone: Heard | NoteFacts) -> str:
    number = tone.start // phrase.meter.length + 1
    return f"bar {number}" if number > 0 else "the pick-up"
