"""Variations in time: another start, another rhythm of the same notes, other note values.

Conventions: another start moves the notes and leaves the chords. Another rhythm puts a group of
notes in place of one of equal length, the same notes in the same order, each under its own chord.
Other note values stretch or halve the chords with the notes. The rhythms are this project's own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import accumulate, pairwise
from typing import Final, NamedTuple

from chartkit.chart import Meter
from chartkit.phrase.phrase import Phrase, PhraseChord
from chartkit.phrase.pitches import chord_at
from chartkit.phrase.rewriting import rewritten
from chartkit.phrase.strong import sounding_tones
from chartkit.phrase.values import Heard

WORDS: Final = {
    Fraction(1, 2): "an eighth",
    Fraction(1): "a quarter",
    Fraction(3, 2): "a dotted quarter",
    Fraction(2): "a half",
    Fraction(3): "a dotted half",
}
"""How far a start moves, in words."""


def starts(phrase: Phrase) -> Iterator[tuple[Phrase, str]]:
    """Yield a phrase begun earlier and later, the smallest distances first."""
    tones = sounding_tones(phrase)
    for length, words in WORDS.items():
        for way, name in ((1, "later"), (-1, "earlier")):
            moved = [Heard(one.start + way * length, one.length, one.pitch) for one in tones]
            made = rewritten(phrase, moved)
            if made:
                yield made, f"starts {words} {name}"


class Rhythm(NamedTuple):
    """A row: what it is called, and the lengths of a group before and after."""

    name: str
    before: tuple[Fraction, ...]
    after: tuple[Fraction, ...]


def _row(name: str, before: str, after: str) -> Rhythm:
    return Rhythm(name, *(tuple(map(Fraction, text.split())) for text in (before, after)))


RHYTHMS: Final = (
    _row("a triplet and a quarter for four eighths", "1/2 1/2 1/2 1/2", "1/3 1/3 1/3 1"),
    _row("a quarter and a triplet for four eighths", "1/2 1/2 1/2 1/2", "1 1/3 1/3 1/3"),
    _row("dotted eighths and sixteenths for eighths", "1/2 1/2", "3/4 1/4"),
    _row("sixteenths and dotted eighths for eighths", "1/2 1/2", "1/4 3/4"),
    _row("sixteenths first for four eighths", "1/2 1/2 1/2 1/2", "1/4 1/4 1/2 1"),
    _row("an eighth first for two quarters", "1 1", "1/2 3/2"),
    _row("a dotted quarter and an eighth for two quarters", "1 1", "3/2 1/2"),
    _row("a dotted eighth first for three eighths", "1/2 1/2 1/2", "3/4 1/4 1/2"),
)
"""Every rhythm; a group is a number of beats or a part of one, and starts on a multiple of its
length in the bar."""


def rhythms(phrase: Phrase) -> Iterator[tuple[Phrase, str]]:
    """Yield a phrase in each other rhythm throughout, then in one bar of it alone."""
    bars = range(-1, phrase.bars)
    unit = phrase.meter.unit
    for row in RHYTHMS:
        whole = sum(row.before)
        if whole % unit and unit % whole:
            continue
        yield from _in_rhythm(phrase, row, bars, "")
        for bar in bars:
            where = f", in bar {bar + 1}" if bar >= 0 else ", in the pick-up"
            yield from _in_rhythm(phrase, row, (bar,), where)


def _in_rhythm(
    phrase: Phrase, row: Rhythm, bars: Sequence[int], where: str
) -> Iterator[tuple[Phrase, str]]:
    tones = list(sounding_tones(phrase))
    changed = _regrouped(tones, row, phrase.meter, bars)
    same_chords = all(
        chord_at(phrase.chords, a.start) == chord_at(phrase.chords, b.start)
        for a, b in zip(tones, changed, strict=True)
    )
    made = rewritten(phrase, changed) if changed != tones and same_chords else None
    if made:
        yield made, f"{row.name}{where}"


def _regrouped(
    tones: Sequence[Heard], row: Rhythm, meter: Meter, bars: Sequence[int]
) -> list[Heard]:
    """Return tones with the row's rhythm wherever its group stands in some bars."""
    size, whole = len(row.before), sum(row.before)
    found: list[Heard] = []
    n = 0
    while n < len(tones):
        group = tones[n : n + size]
        first = group[0].start
        here = (first % meter.length) % whole == 0 and first // meter.length in bars
        joined = all(b.start == a.end for a, b in pairwise(group))
        if here and joined and tuple(one.length for one in group) == row.before:
            begins = accumulate(row.after, initial=first)
            found += [
                Heard(start, length, one.pitch)
                for one, start, length in zip(group, begins, row.after, strict=False)
            ]
            n += size
        else:
            found.append(tones[n])
            n += 1
    return found


def values(phrase: Phrase) -> Iterator[tuple[Phrase, str]]:
    """Yield a phrase in doubled and in halved values, its chords with it."""
    for factor, words in ((Fraction(2), "doubled values"), (Fraction(1, 2), "halved values")):
        chords = _stretched(phrase, factor)
        if chords is None:
            continue
        tones = [
            Heard(one.start * factor, one.length * factor, one.pitch)
            for one in sounding_tones(phrase)
        ]
        made = rewritten(phrase, tones, chords)
        if made:
            yield made, f"in {words}, its chords too"


def _stretched(phrase: Phrase, factor: Fraction) -> list[PhraseChord] | None:
    """Return the chords with other lengths, whole bars of them; None where beats would be cut."""
    bar, unit = phrase.meter.length, phrase.meter.unit
    found: list[PhraseChord] = []
    for one in phrase.chords:
        start, end = one.start * factor, one.end * factor
        if (end - start) % unit:
            return None
        while start < end:
            here = min(end, (start // bar + 1) * bar)
            found.append(PhraseChord(start, here - start, one.chord))
            start = here
    if found and found[-1].end % bar:
        last = found[-1]
        end = (last.end // bar + 1) * bar
        found[-1] = PhraseChord(last.start, end - last.start, last.chord)
    return found
