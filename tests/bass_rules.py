"""What a bass line owes, by a verifier that knows only the changes and the notes.

Import it as ``bass_rules``; ``check_all`` is the whole of it. Rules and range: common practice, no
source.
"""

from bisect import bisect_right
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

LEADS = {-2, -1, 1, 2, 5, -7}
"""From the last note before a chord to its bass note: a step either way, or from its fifth."""

# --- the verifier, in whole numbers: 48 to a quarter ------------------------------------------

QUARTER, EIGHTH = 48, 24

WALKING = {"swing": 48, "12/8 blues": 72, "half-time swing": 96, "double-time swing": 24}
"""Feels in which the bass walks on every beat, and how long that is."""

RETURNING = {"bossa nova", "samba", "ballad", "straight ballad"}
"""Feels in which it may play a pitch again over a bar line."""


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
    feel: str

    def later(self, length):
        return replace(
            self,
            start=self.start + length,
            end=self.end + length,
            onset=self.onset + length,
            bar=self.bar + length,
        )

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
        for below, group in groupby(self.signs, key=lambda sign: sign.bass):
            run = {*group}
            chords = {sign.chord for sign in run}
            if below is not None and len(chords) > 1 and any(chord.bass for chord in chords):
                rounds = (0, self.length, -self.length)
                if any({one.later(away), two.later(away)} <= run for away in rounds):
                    return True
        return False


def ticks(beats):
    return int(beats * QUARTER)


def sign(span, *, early):
    onset = ticks(span.start) - EIGHTH * (span.pushed and early)
    end = ticks(span.start + span.length)
    return Sign(ticks(span.start), end, onset, ticks(span.bar_start), span.chord, span.feel)


def check_range_and_shape(heard):
    assert all(28 <= note.pitch <= 55 for note in heard.sung)
    for one, two in pairwise(heard.sung):
        assert one.start < one.end <= two.start
    assert not heard.sung or heard.sung[-1].end <= heard.signs[-1].end


def check_every_beat(heard):
    """A beat is struck or pushed, but for those of breaks and stops and of the held end.

    Where the bass does not walk, something sounds on every beat.
    """
    assert not any(heard.silent(note.start) for note in heard.sung)
    ends = [note.end for note in heard.sung]
    for number, one in enumerate(heard.signs):
        for beat in beats_of(one):
            if not heard.silent(beat):
                at = bisect_right(ends, beat)
                if at == len(ends) and beat >= heard.signs[-1].end + heard.signs[0].onset:
                    continue  # the push over the seam sounds here
                note = heard.sung[at]
                assert note.start <= beat < note.end, f"nothing sounds on {beat / QUARTER}"
                walks = one.feel in WALKING and number < heard.once - heard.tail
                assert beat - note.start <= EIGHTH or not walks


def beats_of(one):
    """Where a chord comes, and every beat of its bar on which it sounds."""
    beat = WALKING.get(one.feel, QUARTER)
    first = one.bar - (one.bar - one.start) // beat * beat
    return [one.start, *(at for at in range(first, one.end, beat) if at > one.start)]


def check_roots(heard):
    """The bass note of a new chord, struck on its first beat or held from its push: always."""
    for first, *_ in heard.regions():
        if not heard.silent(first.onset):
            assert heard.by_start[first.onset].pitch % 12 == first.bass, f"no root under {first}"


def check_leads(heard):
    """Where it walks, the last beat of a chord of two beats or more leads to the next bass note."""
    for region, (after, *_) in pairwise(heard.regions()):
        beat = WALKING.get(region[-1].feel)
        if beat is None or region[-1].end - region[0].start < 2 * beat:
            continue
        if after.onset - region[0].start <= beat:
            continue  # a push so early that the chord before it has one beat
        if heard.silent(after.onset) or heard.pedal(region[-1], after):
            continue
        if heard.silent(after.onset - 1):
            continue
        target = heard.by_start[after.onset].pitch
        last_beat = after.bar + (after.onset - 1 - after.bar) // beat * beat
        begins = min(after.start - beat, after.onset - beat // 2)
        window = max(begins, last_beat) if last_beat >= after.bar else begins, after.onset
        last = [n for n in heard.sung if n.end > window[0] and n.start < window[1]]
        assert last, f"nothing leads to {after}"
        for note in last:
            assert target - note.pitch in LEADS, f"{note} does not lead to {after}"


def check_bar_lines(heard):
    """No pitch is repeated over a bar line, but on a pedal and after silence."""
    for one, two in pairwise(heard.sung):
        before, after = heard.felt(one.start), heard.felt(two.start)
        joined = two.start - one.end < EIGHTH // 2
        crosses = before.bar != after.bar and after.feel not in RETURNING
        if joined and crosses and one.pitch == two.pitch:
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
