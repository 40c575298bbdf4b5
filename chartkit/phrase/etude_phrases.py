"""Where in an etude the player's phrases may come, which of them do, and in what octave.

Conventions: a phrase comes in on a bar line where its chords stand, as it is written; it is no
denser than the grade and fits its range; it breathes at its end or leaves room for a stretch before
the line must.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.harmony import Span
from chartkit.phrase.chorus import placed
from chartkit.phrase.etude_terms import LONGEST, OFTEN, Bar, EtudeTerms, bar_end
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.places import AS_WRITTEN, OTHER_VALUES, PlaceInTune, places
from chartkit.phrase.shape import range_of
from chartkit.phrase.strong import sounding_tones
from chartkit.phrase.values import Heard
from chartkit.theory.pitch import Pitch

FIFTH: Final = 7
"""Semitones from the last note to a phrase, at most."""

_OCTAVE: Final = 12


@dataclass(frozen=True, slots=True)
class Entry:
    """A phrase at a place that it may be played at; `bars` are those that it sounds in."""

    phrase: Phrase
    place: PlaceInTune
    bars: int


def entries_in(
    spans: Sequence[Span], phrases: Sequence[Phrase], terms: EtudeTerms, bars: Sequence[Bar]
) -> dict[int, list[Entry]]:
    """Return what may be played from each bar on, by the bar's number from 0."""
    found: dict[int, list[Entry]] = {}
    starts = [bar[0].start for bar in bars]
    for phrase in phrases:
        if not _is_easy_enough(phrase, terms):
            continue
        for place in _places(phrase, spans):
            plain = place.stretch == AS_WRITTEN and place.misfit < OTHER_VALUES
            if not plain or place.start not in starts:
                continue
            at = starts.index(place.start)
            entry = Entry(phrase, place, sum(place.start <= s < place.end for s in starts))
            if _breathes_enough(entry, bars, at, terms.grade.breath) and (at or not phrase.pickup):
                found.setdefault(at, []).append(entry)
    return found


def _places(phrase: Phrase, spans: Sequence[Span]) -> tuple[PlaceInTune, ...]:
    """Return the places of a phrase; none for one of whose chords nothing is known."""
    try:
        return places(phrase, spans)
    except CannotPlay:
        return ()


def _is_easy_enough(phrase: Phrase, terms: EtudeTerms) -> bool:
    extent, tones = range_of(phrase), sounding_tones(phrase)
    if extent is None:
        return False
    wide = extent[1].midi - extent[0].midi
    shortest = min(terms.grade.values)
    return wide <= terms.high - terms.low and all(one.length >= shortest for one in tones)


def _breathes_enough(entry: Entry, bars: Sequence[Bar], at: int, breath: int) -> bool:
    """Tell whether a phrase leaves a breath at its end, or the line can go on without."""
    if entry.bars > breath or at + entry.bars > len(bars):
        return False
    last = bars[at + entry.bars - 1]
    if bar_end(last) - entry.place.end >= last[0].meter.unit:
        return True
    return entry.bars + LONGEST <= breath and at + entry.bars < len(bars)


def chosen(entries: Mapping[int, Sequence[Entry]], rng: Random) -> dict[int, Entry]:
    """Return which phrases are to be played, one at least where any fits."""
    found: dict[int, Entry] = {}
    free = 0
    for at in sorted(entries):
        if at >= free and rng.random() < OFTEN:
            found[at] = rng.choice(entries[at])
            free = at + found[at].bars + 1
    if entries and not found:
        at = rng.choice(sorted(entries))
        found[at] = rng.choice(entries[at])
    return found


def in_reach(entry: Entry, terms: EtudeTerms, last: int | None) -> tuple[Heard, ...] | None:
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
