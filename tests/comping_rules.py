"""What a chord player owes, read off the notes; the rules are common practice, no source.

Import it as ``comping_rules``; ``check_all`` is the whole of it.
"""

import random
from bisect import bisect_right
from dataclasses import replace
from fractions import Fraction
from itertools import groupby, pairwise
from operator import attrgetter
from typing import NamedTuple

from chartkit.band.comping import play
from chartkit.theory.voicing import movement

EIGHTH = Fraction(1, 2)

OSTINATO = {"bossa nova", "samba"}
"""Feels in which one rhythm goes on."""


class Hit(NamedTuple):
    start: Fraction
    end: Fraction
    pitches: tuple[int, ...]
    velocities: tuple[int, ...]


def hits(track):
    """The chords in order of time; every note of one starts and ends with the others."""
    found = []
    for start, group in groupby(track.notes, key=attrgetter("start")):
        notes = [*group]
        (end,) = {note.start + note.length for note in notes}
        pitches = tuple(note.pitch for note in notes)
        found.append(Hit(start, end, pitches, tuple(note.velocity for note in notes)))
    assert [hit.start for hit in found] == sorted({note.start for note in track.notes})
    return found


def comp(arranged, seed=0, avoid=None):
    return hits(play(arranged, avoid, random.Random(seed)))


def length_of(arranged):
    return arranged.passes[-1].start + arranged.passes[-1].length


def all_spans(arranged):
    """Every span in order; in a loop the first one again at the end."""
    spans = [*arranged.lead_in, *arranged.spans, *arranged.tail]
    if arranged.loop:
        spans.append(replace(spans[0], start=length_of(arranged)))
    return spans


_last = [None, (), ()]
"""The arrangement looked at last, its spans, and from where on each is the one that counts."""


def laid(arranged):
    """Return all spans of an arrangement, and where each begins to own what is struck."""
    if _last[0] is not arranged:
        spans = all_spans(arranged)
        _last[:] = arranged, spans, [spans[0].start, *(span.start - EIGHTH for span in spans[1:])]
    return _last[1:]


def chord_at(arranged, start):
    """The span a strike belongs to: that of its place, or the next within an eighth."""
    spans, owned = laid(arranged)
    place = start + length_of(arranged) if start < 0 and arranged.loop else start
    return spans[max(0, bisect_right(owned, place) - 1)]


def early(span):
    """Where a span sounds first."""
    return span.start - EIGHTH if span.pushed else span.start


def silences(arranged):
    """Where nothing may sound: N.C., and stops after an eighth."""
    for span, after in pairwise(all_spans(arranged)):
        if span.chord is None:
            yield span.start, early(after)
    for one in arranged.passes:
        for accent in one.accents:
            if accent.kind == "stop":
                yield accent.start + EIGHTH, accent.start + accent.length


def sounding_semitones(chord):
    return {degree.semitones % 12 for degree in chord.degrees}


def first(semitones, *choices):
    return next((tone for tone in choices if tone in semitones), None)


def check_chords(arranged, played):
    """Third and seventh there, the tones of chord and scale, the hand, the register."""
    for hit in played:
        span = chord_at(arranged, hit.start)
        assert span.chord is not None
        root = span.chord.root.pitch_class
        own = sounding_semitones(span.chord)
        scale = {(tone.pitch_class - root) % 12 for tone in span.scale.tones}
        heard = {(pitch - root) % 12 for pitch in hit.pitches}
        third, seventh = first(own, 4, 3, 5, 2), first(own, 10, 11, 9)
        assert third is None or third in heard
        assert seventh in heard if seventh is not None else heard & {0, 7, 6, 8}
        if 7 not in own and len(own & {6, 8}) == 1:
            assert own & {6, 8} <= heard
        assert heard <= own | scale
        assert 3 <= len(hit.pitches) <= 4
        assert hit.pitches[0] >= 48
        assert hit.pitches[-1] <= 72
        assert hit.pitches[-1] - hit.pitches[0] <= 16
        assert all(b - a >= 3 for a, b in pairwise(hit.pitches) if a < 52)


def check_lengths(arranged, played):
    """Each ends by the next strike, by the next chord, and by the end of all."""
    spans, _ = laid(arranged)
    starts = [span.start for span in spans]
    for hit, after in pairwise([*played, None]):
        assert hit.start < hit.end
        assert after is None or hit.end <= after.start
        own = chord_at(arranged, hit.start)
        later = range(bisect_right(starts, own.start), len(spans))
        change = next((spans[n] for n in later if spans[n].chord != own.chord), None)
        assert change is None or hit.start < 0 or hit.end <= early(change)
    assert played[-1].end <= spans[-1].start + (0 if arranged.loop else spans[-1].length)


def check_silence(arranged, played):
    for start, end in silences(arranged):
        assert not [hit for hit in played if hit.start < end and hit.end > start]


def check_every_chord_is_struck(arranged, played):
    spans = all_spans(arranged)
    struck = {chord_at(arranged, hit.start).start % length_of(arranged) for hit in played}
    if not arranged.loop:
        struck = {chord_at(arranged, hit.start).start for hit in played}
    quiet = [*silences(arranged)]
    for span in spans[: len(spans) - arranged.loop]:
        in_stop = any(start <= span.start < end for start, end in quiet)
        assert span.start in struck or in_stop or not span.new or span.chord is None


def check_pushes_and_stops(arranged, played):
    starts = {hit.start: hit for hit in played}
    for one in arranged.passes:
        for accent in one.accents:
            hit = starts[accent.start]
            assert accent.kind == "push" or hit.end - hit.start <= EIGHTH
        for span in one.spans:
            if span.pushed and (span.start or arranged.loop):
                assert span.start not in starts


def check_velocities(played):
    notes = [velocity for hit in played for velocity in hit.velocities]
    assert all(0 < velocity < 128 for velocity in notes)
    assert all(a != b for a, b in pairwise(notes))
    assert all(max(a.velocities) != max(b.velocities) for a, b in pairwise(played))


def rhythms(arranged, played):
    """The onsets of each bar, and whether silence is written in it."""
    total = length_of(arranged)
    quiet = [*silences(arranged)]
    bars = {}
    feels = {span.bar_start: span.feel for span in arranged.spans}
    for span in arranged.spans:
        bars[span.bar_start] = bars.get(span.bar_start, 0) + span.length
    found = []
    for start, length in bars.items():
        onsets = [hit.start + (total if hit.start < 0 else 0) - start for hit in played]
        within = tuple(sorted(onset for onset in onsets if 0 <= onset < length))
        exempt = length < 2 or any(a < start + length and b > start for a, b in quiet)
        exempt = exempt or feels[start] in OSTINATO
        found.append((length, within, exempt))
    return found


def check_rhythms(arranged, played):
    """No two-bar rhythm three times running, round the seam too; stops and breaks are exempt.

    So are bars of one beat, whose chords leave no choice, and feels of one rhythm.
    """
    bars = rhythms(arranged, played)
    around = bars + bars[:5] if arranged.loop and len(bars) > 2 else bars
    for six in zip(*(around[place:] for place in range(6)), strict=False):
        if not any(exempt for _, _, exempt in six):
            assert not six[:2] == six[2:4] == six[4:]


def check_all(arranged, played):
    check_chords(arranged, played)
    check_lengths(arranged, played)
    check_silence(arranged, played)
    check_every_chord_is_struck(arranged, played)
    check_pushes_and_stops(arranged, played)
    check_velocities(played)
    check_rhythms(arranged, played)


def voice_movement(played, *, around):
    """Semitones a voice moves on average where the chord is struck anew with other notes."""
    chords = [hit.pitches for hit in played]
    pairs = [*pairwise(chords), *([(chords[-1], chords[0])] if around else [])]
    moves = [movement(a, b) / max(len(a), len(b)) for a, b in pairs if a != b]
    return sum(moves) / len(moves) if moves else 0
