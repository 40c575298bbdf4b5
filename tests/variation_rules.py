"""What every variation of a phrase must keep, worked out here without the code that makes them.

Import it as ``variation_rules``. ``check`` is the whole of it: it raises AssertionError where a
variation is not what it says. Chord tones and scales come from the tables of theory, which have
outside checks of their own; times, ties, chords under notes and strong beats are counted anew. The
rules of strong beats and of notes that lead on are common practice, no source.
"""

from collections import Counter
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from chartkit.chart import Chart
from chartkit.form import chorus
from chartkit.harmony import spans
from chartkit.phrase.chart import chart_of

HALF = Fraction(1, 2)

WORDS = {
    "an eighth": HALF,
    "a quarter": Fraction(1),
    "a dotted quarter": Fraction(3, 2),
    "a half": Fraction(2),
    "a dotted half": Fraction(3),
}

TURNED = {  # thirds, fifths and sevenths in semitones: what each kind of chord may become
    (4, 7, 11): [(3, 7, 9), (3, 6, 10)],
    (4, 7, 9): [(3, 7, 9), (3, 6, 10)],
    (4, 7, None): [(3, 7, 9), (3, 6, 10)],
    (4, 7, 10): [(4, 7, 10), (3, 7, 10), (3, 6, 10)],
    (3, 7, 10): [(3, 6, 10)],
    (3, 7, 9): [(3, 6, 10)],
    (3, 7, 11): [(3, 6, 10)],
    (3, 7, None): [(3, 6, 10)],
}


class Sound(NamedTuple):
    start: Fraction
    end: Fraction
    midi: int


def sounds(phrase):
    """Return what is heard, ties joined: start, end and MIDI number of each note."""
    found = []
    tied = False
    for note in phrase.notes:
        if note.pitch and tied:
            found[-1] = found[-1]._replace(end=note.start + note.length)
        elif note.pitch:
            found.append(Sound(note.start, note.start + note.length, note.pitch.midi))
        tied = note.tie
    return found


def midis(phrase):
    return [one.midi for one in sounds(phrase)]


def times(phrase):
    return [(one.start, one.end) for one in sounds(phrase)]


def over(phrase, beat):
    """Return the chord at a beat, the first one before it all."""
    here = [one.chord for one in phrase.chords if one.start <= max(beat, 0)]
    return here[-1] if here else None


def root_and_parts(chord):
    """Return a chord's root and its third, fifth and seventh in semitones."""
    by_number = {}
    for degree in chord.degrees:
        by_number.setdefault(degree.number, degree.semitones)
    seventh = by_number.get(7, by_number.get(6))
    return chord.root.pitch_class, (by_number.get(3), by_number.get(5), seventh)


def chord_classes(chord):
    return {(chord.root.pitch_class + degree.semitones) % 12 for degree in chord.degrees}


def scale_at(phrase, beat):
    chart: Chart = chart_of(phrase)
    here = [one for one in spans(chorus(chart), loop=False) if one.start <= max(beat, 0)]
    return {name.pitch_class for name in here[-1].scale.tones} if here[-1].scale else set()


def strong(phrase):
    """Return the strong beats: first beats, middles of even bars, beginnings of chords."""
    bar = phrase.meter.length
    count = int(phrase.length / bar)
    found = {n * bar for n in range(count)}
    if phrase.meter.beats % 2 == 0:
        found |= {n * bar + bar / 2 for n in range(count)}
    for one, other in pairwise(phrase.chords):
        if one.chord != other.chord:
            found.add(other.start)
    return found


def outside(phrase, beat, midi):
    """Tell whether a note may not stand on a strong beat."""
    chord = over(phrase, beat)
    if midi % 12 in chord_classes(chord):
        return False
    root, (third, fifth, seventh) = root_and_parts(chord)
    dominant = (third, seventh) == (4, 10)
    below = (third,) if dominant else (0, third, fifth)
    covered = {(root + part) % 12 for part in below if part is not None}
    return midi % 12 not in scale_at(phrase, beat) or (midi - 1) % 12 in covered


def check_harmony(new, old):
    """Strong beats carry the harmony, save for what the phrase itself had there."""
    had = sounds(old)
    for beat in strong(new):
        for one in sounds(new):
            if one.start <= beat < one.end and outside(new, beat, one.midi):
                same = [two for two in had if two.start <= beat < two.end and two.midi == one.midi]
                assert same, f"{one.midi} on beat {beat}"
                assert over(old, beat) == over(new, beat)


# ---- Each dimension -------------------------------------------------------------------------


def check_start(new, old, what):
    assert midis(new) == midis(old)
    moved = {
        b - a
        for pair in zip(times(old), times(new), strict=True)
        for a, b in zip(*pair, strict=True)
    }
    words, way = what.removeprefix("starts ").rsplit(" ", 1)
    assert moved == {WORDS[words] if way == "later" else -WORDS[words]}
    assert new.chords[: len(old.chords)] == old.chords
    assert {one.chord for one in new.chords[len(old.chords) :]} <= {old.chords[-1].chord}


def check_rhythm(new, old, what):
    assert midis(new) == midis(old)
    assert new.chords == old.chords
    assert times(new) != times(old)
    assert sum(b - a for a, b in times(new)) == sum(b - a for a, b in times(old))
    for one, other in zip(sounds(old), sounds(new), strict=True):
        assert one.start // old.meter.length == other.start // old.meter.length
        assert over(old, one.start) == over(new, other.start)
    if ", in bar " in what:
        bar = int(what.rsplit(" ", 1)[1]) - 1
        assert {
            a[0] // old.meter.length for a, b in zip(times(old), times(new), strict=True) if a != b
        } == {bar}


def check_values(new, old, what):
    factor = {"in doubled": 2, "in halved": HALF}[what.split(" values", maxsplit=1)[0]]
    assert midis(new) == midis(old)
    assert times(new) == [(a * factor, b * factor) for a, b in times(old)]
    for one in old.chords:
        assert over(new, one.start * factor) == one.chord
        assert over(new, one.end * factor - Fraction(1, 8)) == one.chord


def check_ending(new, old, what):
    assert times(new) == times(old)
    assert new.chords == old.chords
    assert midis(new)[:-1] == midis(old)[:-1]
    last = midis(new)[-1]
    assert 0 < abs(last - midis(old)[-1]) <= 7
    chord = over(new, times(new)[-1][0])
    root, parts = root_and_parts(chord)
    assert (last - root) % 12 in {0, *parts}
    step = {"root": 0, "third": parts[0], "fifth": parts[1]}.get(what.rsplit(" ", 1)[1], parts[2])
    assert (last - root) % 12 == step


def check_octave(new, old, what):
    assert times(new) == times(old)
    assert new.chords == old.chords
    moves = [b - a for a, b in zip(midis(old), midis(new), strict=True)]
    assert set(moves) <= {0, 12 if "higher" in what else -12}
    assert moves[-1]
    assert sum(bool(a) != bool(b) for a, b in pairwise(moves)) == ("from bar" in what)


def check_order(new, old, what):  # noqa: ARG001 (every check is called alike)
    assert times(new) == times(old)
    assert new.chords == old.chords
    assert midis(new) != midis(old)
    for one in {(chord.start, chord.end) for chord in old.chords}:
        inside = [
            Counter(s.midi for s in sounds(p) if one[0] <= max(s.start, 0) < one[1])
            for p in (old, new)
        ]
        assert inside[0] == inside[1]


def check_approach(new, old, what):
    assert new.chords == old.chords
    many, few = (new, old) if " added, " in what else (old, new)
    longer, shorter = sounds(many), sounds(few)
    assert len(longer) == len(shorter) + 1
    gone = [
        n
        for n in range(len(longer))
        if [s.midi for s in longer[:n] + longer[n + 1 :]] == [s.midi for s in shorter]
        and [s.start for s in longer[:n] + longer[n + 1 :]] == [s.start for s in shorter]
    ]
    assert gone
    assert any(0 < abs(longer[n].midi - longer[n + 1].midi) <= 4 for n in gone)
    if many is new:
        steps = {(longer[n + 1].midi - longer[n].midi) for n in gone}
        assert steps & {1, -1, -2, -3}
        assert all(longer[n].end == longer[n + 1].start for n in gone)


def check_mode(new, old, what):
    assert what.startswith("over ")
    assert times(new) == times(old)
    assert len(new.chords) == len(old.chords)
    for one, other in zip(old.chords, new.chords, strict=True):
        root, parts = root_and_parts(one.chord)
        assert root_and_parts(other.chord)[0] == root
        assert root_and_parts(other.chord)[1] in TURNED[parts]
    for one, other in zip(sounds(old), sounds(new), strict=True):
        assert abs(one.midi - other.midi) <= 2
        before, after = (root_and_parts(over(p, one.start)) for p in (old, new))
        if one.start in strong(old) and (one.midi - before[0]) % 12 in before[1]:
            part = before[1].index((one.midi - before[0]) % 12)
            if part < 2:
                assert (other.midi - after[0]) % 12 == after[1][part]


CHECKS = {
    "start": check_start,
    "rhythm": check_rhythm,
    "values": check_values,
    "ending": check_ending,
    "octave": check_octave,
    "order": check_order,
    "approach": check_approach,
    "mode": check_mode,
}


def check(made, old):
    """Check a variation that changes one thing, by its own words."""
    (change,) = made.changes
    CHECKS[change.dimension](made.phrase, old, change.what)
    check_harmony(made.phrase, old)
