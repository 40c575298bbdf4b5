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
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, islice, takewhile
from math import ceil
from random import Random
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.exercise.slots import resting
from chartkit.harmony import Span
from chartkit.line import LineNote
from chartkit.phrase.chorus import placed
from chartkit.phrase.etude_stretch import first_tone, stretch
from chartkit.phrase.etude_terms import Etude, EtudePart, EtudeTerms
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.places import AS_WRITTEN, OTHER_VALUES, PlaceInTune, places
from chartkit.phrase.shape import range_of
from chartkit.phrase.strong import sounding_tones
from chartkit.phrase.values import Heard
from chartkit.theory.pitch import Pitch

LONGEST: Final = 2
"""Bars in a stretch."""

FIFTH: Final = 7
"""Semitones from the last note to a phrase, at most."""

OFTEN: Final = 0.5
"""How likely a phrase is to be played where it fits, and a breath to be taken where none need be.
"""

TRIES: Final = 8
"""Stretches tried before a phrase for one that comes near enough to it."""

_OCTAVE: Final = 12


@dataclass(frozen=True, slots=True)
class _Entry:
    """A phrase at a place that it may be played at; `bars` are those that it sounds in."""

    phrase: Phrase
    place: PlaceInTune
    bars: int


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

    def __init__(self, terms: EtudeTerms, rng: Random, entries: Mapping[int, _Entry]) -> None:
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


Bar = tuple[Span, ...]


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
    entries = _chosen(_entries(spans, phrases, terms, whole), rng)
    written = _Writing(terms, rng, entries)
    at = 0
    while at < len(whole):
        entry = entries.get(at)
        if entry and _plays(entry, whole[at], written):
            at += entry.bars
        else:
            at += _goes_on(written, whole, at)
    return Etude(resting(written.notes, spans), tuple(written.parts))


# ---- Phrases --------------------------------------------------------------------------------


def _entries(
    spans: Sequence[Span], phrases: Sequence[Phrase], terms: EtudeTerms, bars: Sequence[Bar]
) -> dict[int, list[_Entry]]:
    """Return what may be played from each bar on, by the bar's number from 0."""
    found: dict[int, list[_Entry]] = {}
    starts = [bar[0].start for bar in bars]
    for phrase in phrases:
        if not phrase.chords or not _is_easy_enough(phrase, terms):
            continue
        for place in places(phrase, spans):
            plain = place.stretch == AS_WRITTEN and place.misfit < OTHER_VALUES
            if not plain or place.start not in starts:
                continue
            at = starts.index(place.start)
            entry = _Entry(phrase, place, sum(place.start <= s < place.end for s in starts))
            if _breathes_enough(entry, bars, at, terms.grade.breath) and (at or not phrase.pickup):
                found.setdefault(at, []).append(entry)
    return found


def _is_easy_enough(phrase: Phrase, terms: EtudeTerms) -> bool:
    extent, tones = range_of(phrase), sounding_tones(phrase)
    if extent is None:
        return False
    wide = extent[1].midi - extent[0].midi
    shortest = min(terms.grade.values)
    return wide <= terms.high - terms.low and all(one.length >= shortest for one in tones)


def _breathes_enough(entry: _Entry, bars: Sequence[Bar], at: int, breath: int) -> bool:
    """Tell whether a phrase leaves a breath at its end, or the line can go on without."""
    if entry.bars > breath or at + entry.bars > len(bars):
        return False
    last = bars[at + entry.bars - 1]
    if _bar_end(last) - entry.place.end >= last[0].meter.unit:
        return True
    return entry.bars + LONGEST <= breath and at + entry.bars < len(bars)


def _bar_end(bar: Bar) -> Fraction:
    return bar[-1].start + bar[-1].length


def _chosen(entries: Mapping[int, Sequence[_Entry]], rng: Random) -> dict[int, _Entry]:
    """Return which phrases are to be played, one at least where any fits."""
    found: dict[int, _Entry] = {}
    free = 0
    for at in sorted(entries):
        if at >= free and rng.random() < OFTEN:
            found[at] = rng.choice(entries[at])
            free = at + found[at].bars + 1
    if entries and not found:
        at = rng.choice(sorted(entries))
        found[at] = rng.choice(entries[at])
    return found


def _plays(entry: _Entry, bar: Bar, written: _Writing) -> bool:
    """Play a phrase, if the line comes near enough to it and has breathed."""
    tones = _in_reach(entry, written.terms, written.last if written.notes else None)
    room = bar[0].meter.unit if written.notes else Fraction(0)
    if tones is None or written.unbroken or tones[0].start < written.end + room:
        return False
    notes = [LineNote(one.start, one.length, one.pitch) for one in tones]
    written.add(notes, EtudePart(bar[0].bar, entry.bars, entry.phrase.title or "a phrase"))
    meter = bar[0].meter
    breathes = -written.end % meter.length >= meter.unit
    written.unbroken = 0 if breathes else entry.bars
    return True


def _in_reach(entry: _Entry, terms: EtudeTerms, last: int | None) -> tuple[Heard, ...] | None:
    """Return the notes of a phrase in the octave that begins nearest to the last note, if any."""
    try:
        tones = placed(entry.phrase, entry.place, 0, 127)
    except CannotPlay:
        return None
    midi = [one.pitch.midi for one in tones if one.pitch]
    ways = (_OCTAVE * way for way in range(-4, 5))
    fitting = [w for w in ways if min(midi) + w >= terms.low and max(midi) + w <= terms.high]
    goal = (terms.low + terms.high) // 2 if last is None else last
    way = min(fitting, key=lambda w: abs(midi[0] + w - goal), default=None)
    if way is None or (last is not None and abs(midi[0] + way - last) > FIFTH):
        return None
    return tuple(_moved(one, way) for one in tones)


def _moved(tone: Heard, semitones: int) -> Heard:
    assert tone.pitch, "rests are left out"
    octave = tone.pitch.octave + semitones // _OCTAVE
    return replace(tone, pitch=Pitch(tone.pitch.name, octave))


# ---- Stretches ------------------------------------------------------------------------------


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
        end = _bar_end(taken[-1]) - beats * unit
        _play_kind(written, spans, first.midi, end, following)
    return len(taken)


def _breath(written: _Writing, bars: int, following: _Entry | None, *, is_last: bool) -> bool:
    """Tell whether the line breathes at the end of a stretch."""
    room = written.terms.grade.breath - written.unbroken - bars
    by_chance = written.rng.random() < OFTEN
    return is_last or following is not None or room < LONGEST or by_chance


def _play_kind(
    written: _Writing, spans: Sequence[Span], start: int, end: Fraction, following: _Entry | None
) -> None:
    """Write a stretch, one that ends near the phrase after it where any of a few does."""
    for _ in range(TRIES if following else 1):
        notes, what = stretch(spans, written.terms, start, end, written.rng)
        last = notes[-1].pitch if notes else None
        if following is None or last is None:
            break
        if _in_reach(following, written.terms, last.midi):
            break
    if notes:
        bars = len({span.bar_start for span in spans})
        written.add(notes, EtudePart(spans[0].bar, bars, what))


def _next_bars(bars: Sequence[Bar], entries: Mapping[int, _Entry], at: int) -> list[Bar]:
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
