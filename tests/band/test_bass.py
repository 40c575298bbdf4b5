"""The bass against its rules, by a verifier that knows only the changes and the notes.

Rules and range: common practice, no source, but for the orderings of moves and chord tones, which
are those of the beat-wise bass of the Weimar Jazz Database (as told in the literature; its figures
are not repeated here).
"""

import random
from bisect import bisect_right
from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from chartkit.arrange import arrange
from chartkit.band import bass
from chartkit.take import Take

LEADS = {-2, -1, 1, 2, 5, -7}
"""From the last note before a chord to its bass note: a step either way, or from its fifth."""

BLUES = (
    "F7 | Bb7 | F7 | Cm7 F7 | Bb7 | Bo7 | F7 | D7b9 | Gm7 | C7 | F7 D7 | Gm7 C7"
)

PLAIN_SETTINGS = settings(
    derandomize=True,
    max_examples=100,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)


def line(arrangement, seed=0, avoid=None):
    return bass.play(arrangement, avoid, random.Random(seed)).notes


# --- the verifier, in whole numbers: 48 to a quarter ------------------------------------------

QUARTER, EIGHTH = 48, 24


@dataclass(frozen=True)
class Sung:
    start: int
    end: int
    pitch: int

    def later(self, length):
        return replace(self, start=self.start + length, end=self.end + length)


@dataclass(frozen=True)
class Sign:
    """A chord in one bar: where it is written, where it sounds, and what the bass owes."""

    start: int
    end: int
    onset: int
    bar: int
    chord: object

    def later(self, length):
        start, end, onset, bar = self.start, self.end, self.onset, self.bar
        return Sign(start + length, end + length, onset + length, bar + length, self.chord)

    @property
    def bass(self):
        return self.chord and self.chord.lowest.pitch_class


class Heard:
    """Changes and bass notes; a loop is laid out twice, so that its seam is like any bar line."""

    def __init__(self, arrangement, notes):
        spans = [*arrangement.lead_in, *arrangement.spans, *arrangement.tail]
        signs = [sign(span, early=arrangement.loop or n > 0) for n, span in enumerate(spans)]
        sung = [Sung(ticks(n.start), ticks(n.start + n.length), n.pitch) for n in notes]
        stops = [
            (ticks(accent.start), ticks(accent.start + accent.length))
            for one in arrangement.passes
            for accent in one.accents
            if accent.kind == "stop"
        ]
        self.length, self.tail, self.once = signs[-1].end, len(arrangement.tail), len(signs)
        rounds = (0, self.length) if arrangement.loop else (0,)
        self.signs = [one.later(after) for after in rounds for one in signs]
        self.sung = [one.later(after) for after in rounds for one in sung]
        self.stops = [(a + after, b + after) for after in rounds for a, b in stops]
        self.onsets = [one.onset for one in self.signs]
        self.by_start = {one.start: one for one in self.sung}

    def felt(self, at):
        return self.signs[bisect_right(self.onsets, at) - 1]

    def silent(self, at):
        stopped = any(first + EIGHTH <= at < end for first, end in self.stops)
        return stopped or self.felt(at).chord is None

    def regions(self):
        """Each chord with all its bars, as lists of signs."""
        return [[*group] for _, group in groupby(self.signs, key=lambda one: one.chord)]

    def pedal(self, one, two):
        """Whether two signs lie over one bass that a slash shows to stay."""
        for bass, group in groupby(self.signs, key=lambda sign: sign.bass):
            run = {*group}
            chords = {sign.chord for sign in run}
            if bass is not None and len(chords) > 1 and any(chord.bass for chord in chords):
                pairs = ({one, two}, {one.later(self.length), two.later(self.length)})
                if any(pair <= run for pair in pairs):
                    return True
        return False


def ticks(beats):
    return int(beats * QUARTER)


def sign(span, *, early):
    onset = ticks(span.start) - EIGHTH * (span.pushed and early)
    end = ticks(span.start + span.length)
    return Sign(ticks(span.start), end, onset, ticks(span.bar_start), span.chord)


def check_range_and_shape(heard):
    assert all(28 <= note.pitch <= 55 for note in heard.sung)
    for one, two in pairwise(heard.sung):
        assert one.start < one.end <= two.start
    assert not heard.sung or heard.sung[-1].end <= heard.signs[-1].end


def check_every_beat(heard):
    """A beat is struck or pushed, but for those of breaks and stops and of the held end."""
    assert not any(heard.silent(note.start) for note in heard.sung)
    ends = [note.end for note in heard.sung]
    for number, one in enumerate(heard.signs):
        for beat in range(one.start, one.end, QUARTER):
            if not heard.silent(beat):
                at = bisect_right(ends, beat)
                note = heard.sung[at]
                assert note.start <= beat < note.end, f"nothing sounds on {beat / QUARTER}"
                assert beat - note.start <= EIGHTH or number >= heard.once - heard.tail


def check_roots(heard):
    """The bass note of a new chord, struck on its first beat or held from its push: always."""
    for first, *_ in heard.regions():
        if not heard.silent(first.onset):
            assert heard.by_start[first.onset].pitch % 12 == first.bass, f"no root under {first}"


def check_leads(heard):
    """The last beat of a chord of two beats or more leads to the next bass note."""
    for region, (after, *_) in pairwise(heard.regions()):
        beats = (region[-1].end - region[0].start) / QUARTER
        if beats < 2 or heard.silent(after.onset) or heard.pedal(region[-1], after):
            continue
        if heard.silent(after.onset - 1):
            continue
        target = heard.by_start[after.onset].pitch
        window = after.start - QUARTER, after.onset
        last = [n for n in heard.sung if n.end > window[0] and n.start < window[1]]
        assert last, f"nothing leads to {after}"
        for note in last:
            assert target - note.pitch in LEADS, f"{note} does not lead to {after}"


def check_bar_lines(heard):
    """No pitch is repeated over a bar line, but on a pedal and after silence."""
    for one, two in pairwise(heard.sung):
        before, after = heard.felt(one.start), heard.felt(two.start)
        joined = two.start - one.end < EIGHTH // 2
        if joined and before.bar != after.bar and one.pitch == two.pitch:
            assert heard.pedal(before, after), f"{one.pitch} again at {two.start / QUARTER}"


def check_leaps(heard):
    assert all(abs(one.pitch - two.pitch) <= 12 for one, two in pairwise(heard.sung))


def check_all(arrangement, notes):
    heard = Heard(arrangement, notes)
    check_range_and_shape(heard)
    check_every_beat(heard)
    check_roots(heard)
    check_leads(heard)
    check_bar_lines(heard)
    check_leaps(heard)


def run_lengths(notes):
    """Notes in each run in one direction; a note on which it turns belongs to both runs."""
    moves = [two.pitch - one.pitch for one, two in pairwise(notes) if one.pitch != two.pitch]
    lengths = [2]
    for one, two in pairwise(moves):
        if (one > 0) == (two > 0):
            lengths[-1] += 1
        else:
            lengths.append(2)
    return lengths


def mean(values):
    return sum(values) / len(values)


# --- the rules on drawn charts and demo charts ----------------------------------------------------


@PLAIN_SETTINGS
@given(data=st.data())
def test_rules_on_anything_in_a_loop(arranged, drawn, data):
    text, seed, times = data.draw(drawn), data.draw(st.integers(0, 99)), data.draw(st.integers(1, 3))
    arrangement = arranged(text, times=times)
    check_all(arrangement, line(arrangement, seed))


@PLAIN_SETTINGS
@given(data=st.data())
def test_rules_on_anything_played_through(arranged, drawn, data):
    text, seed = data.draw(drawn), data.draw(st.integers(0, 99))
    arrangement = arranged(text, loop=False, times=2)
    check_all(arrangement, line(arrangement, seed))


@PLAIN_SETTINGS
@given(data=st.data())
def test_runs_are_neither_too_short_nor_too_long(arranged, drawn_plain, data):
    arrangement = arranged(data.draw(drawn_plain), times=4)
    assert 2 <= mean(run_lengths(line(arrangement, 1))) <= 5


@pytest.mark.parametrize("loop", [True, False])
@pytest.mark.parametrize("seed", range(3))
def test_rules_on_demo_charts(demo, loop, seed):
    arrangement = arrange(Take(demo, loop=loop, times=2))
    notes = line(arrangement, seed)
    check_all(arrangement, notes)
    assert 2.5 <= mean(run_lengths(notes)) <= 5
