"""An etude: one line over some changes from the player's phrases and the kinds of exercise.

Conventions: the line goes on in stretches of two bars at most, none over the end of a section. A
stretch begins on the chord tone nearest to the last note before, which is another note unless the
line has breathed. A phrase comes in on a bar line where its chords stand, in the octave in which
it begins at most a fifth from the last note, and always after a breath. A breath is a rest of a
beat or more before a bar line; there is one at the end, so that the line can come round. Where a
phrase has a pick-up the breath lies before that. Every rule is this project's own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import groupby, islice, takewhile
from math import ceil
from random import Random
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.exercise.slots import resting
from chartkit.harmony import Span
from chartkit.line import LineNote
from chartkit.phrase.etude_phrases import Entry, chosen, entries_in, in_reach
from chartkit.phrase.etude_stretch import first_tone, stretch
from chartkit.phrase.etude_terms import (
    LONGEST,
    OFTEN,
    Bar,
    Etude,
    EtudePart,
    EtudeTerms,
    bar_end,
)
from chartkit.phrase.phrase import Phrase

TRIES: Final = 8
"""Stretches tried before a phrase for one that comes near enough to it."""


class _Writing:
    """An etude as far as it is written.

    Parameters
    ----------
    terms : EtudeTerms
    rng : Random
    entries : mapping
        The phrases to be played, by the number of the bar that they begin in.

    Attributes
    ----------
    last : int
        MIDI number of the last note, or where the first one is to be.
    unbroken : int
        Bars since the last breath.
    end : Fraction
        Where the last note stopped.
    """

    def __init__(self, terms: EtudeTerms, rng: Random, entries: Mapping[int, Entry]) -> None:
        self.terms = terms
        self.rng = rng
        self.entries = entries
        self.last = rng.randint(terms.low, terms.high)
        self.notes: list[LineNote] = []
        self.parts: list[EtudePart] = []
        self.unbroken = 0
        self.end = Fraction(0)

    def add(self, notes: Sequence[LineNote], part: EtudePart) -> None:
        """Add a part of the line, at least a note of it; the last one is no rest."""
        last = notes[-1]
        assert last.pitch, "rests are left out"
        self.notes += notes
        self.parts.append(part)
        self.last, self.end = last.pitch.midi, last.start + last.length


def etude(
    spans: Sequence[Span], phrases: Sequence[Phrase], terms: EtudeTerms, rng: Random
) -> Etude:
    """Return an etude; the same for the same state of the `rng`.

    Parameters
    ----------
    spans : sequence of Span
        Their end leads into their beginning.
    phrases : sequence of Phrase
        Those that fit somewhere, and are not too hard for the grade, may come up.
    terms : EtudeTerms
    rng : Random

    Raises
    ------
    CannotPlay
        There is no chord at all.
    """
    if all(span.chord is None for span in spans):
        raise CannotPlay("there is no chord here to play an etude on")
    bars = [tuple(g) for _, g in groupby(spans, key=lambda one: one.bar_start)]
    whole = [bar for bar in bars if bar[0].start >= 0]
    entries = chosen(entries_in(spans, phrases, terms, whole), rng)
    written = _Writing(terms, rng, entries)
    at = 0
    while at < len(whole):
        entry = entries.get(at)
        if entry and _plays(entry, whole[at], written):
            at += entry.bars
        else:
            at += _goes_on(written, whole, at)
    return Etude(resting(written.notes, spans), tuple(written.parts))


def _plays(entry: Entry, bar: Bar, written: _Writing) -> bool:
    """Play a phrase, if the line comes near enough to it and has breathed."""
    tones = in_reach(entry, written.terms, written.last if written.notes else None)
    room = bar[0].meter.unit if written.notes else Fraction(0)
    if tones is None or written.unbroken or tones[0].start < written.end + room:
        return False
    notes = [LineNote(one.start, one.length, one.pitch) for one in tones]
    written.add(notes, EtudePart(bar[0].bar, entry.bars, entry.phrase.title or "a phrase"))
    meter = bar[0].meter
    breathes = -written.end % meter.length >= meter.unit
    written.unbroken = 0 if breathes else entry.bars
    return True


def _goes_on(written: _Writing, bars: Sequence[Bar], at: int) -> int:
    """Write the next stretch; return how many bars it has."""
    taken = _next_bars(bars[at:], written.entries, at)
    spans = [span for bar in taken for span in bar]
    following = written.entries.get(at + len(taken))
    breath = _breath(written, len(taken), following, is_last=at + len(taken) == len(bars))
    first = first_tone(spans, written.terms, written.last, other=written.unbroken > 0)
    written.unbroken = 0 if breath or first is None else written.unbroken + len(taken)
    if first is not None:
        unit = spans[0].meter.unit
        beats = breath + (ceil(following.phrase.pickup / unit) if following else 0)
        end = bar_end(taken[-1]) - beats * unit
        _play_kind(written, spans, first.midi, end, following)
    return len(taken)


def _breath(written: _Writing, bars: int, following: Entry | None, *, is_last: bool) -> bool:
    """Tell whether the line breathes at the end of a stretch."""
    room = written.terms.grade.breath - written.unbroken - bars
    by_chance = written.rng.random() < OFTEN
    return is_last or following is not None or room < LONGEST or by_chance


def _play_kind(
    written: _Writing, spans: Sequence[Span], start: int, end: Fraction, following: Entry | None
) -> None:
    """Write a stretch, one that ends near the phrase after it where any of a few does."""
    for _ in range(TRIES if following else 1):
        notes, what = stretch(spans, written.terms, start, end, written.rng)
        last = notes[-1].pitch if notes else None
        if following is None or last is None:
            break
        if in_reach(following, written.terms, last.midi):
            break
    if notes:
        bars = len({span.bar_start for span in spans})
        written.add(notes, EtudePart(spans[0].bar, bars, what))


def _next_bars(bars: Sequence[Bar], entries: Mapping[int, Entry], at: int) -> list[Bar]:
    """Return the bars of the next stretch: to the end of a section or to a phrase at most."""
    meter = bars[0][0].meter
    found: list[Bar] = []
    same = takewhile(lambda bar: bar[0].meter == meter, islice(bars, LONGEST))
    for number, bar in enumerate(same):
        if number and at + number in entries:
            break
        found.append(bar)
        if bar[-1].ends:
            break
    return found


def parts_in_words(parts: Sequence[EtudePart]) -> Iterator[str]:
    """Yield what an etude is made of, a line each.

    >>> from chartkit.form import BarId
    >>> [*parts_in_words([EtudePart(BarId("A", 2, 3), 2, "Scale run")])]
    ['bar 3, 2 bars: Scale run']
    """
    for part in parts:
        count = "1 bar" if part.bars == 1 else f"{part.bars} bars"
        yield f"bar {part.bar.number}, {count}: {part.what}"
