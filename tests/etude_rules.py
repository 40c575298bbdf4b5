"""What every etude must keep, worked out here without the code that makes etudes.

Import it as ``etude_rules``. ``check`` raises AssertionError where a rule is broken. What is a
phrase's is told by the etude's parts; notes, rests and joints are read from the line itself. The
rules are this project's own; strong beats and chord tones as in ``variation_rules``.
"""

from fractions import Fraction
from itertools import groupby, pairwise
from typing import NamedTuple

from variation_rules import over, root_and_parts, sounds

from chartkit.exercise import KINDS

TITLES = {kind.title for kind in KINDS.values()}


class Heard(NamedTuple):
    start: Fraction
    end: Fraction
    midi: int


class Piece(NamedTuple):
    what: str
    first: Fraction
    notes: list


def tones(line):
    return [Heard(n.start, n.start + n.length, n.pitch.midi) for n in line.notes if n.pitch]


def span_at(line, beat):
    return next(s for s in reversed(line.spans) if s.start <= beat)


def bars_of(line):
    """Return the whole bars, each as its first beat, its end and its meter."""
    found = [list(group) for _, group in groupby(line.spans, key=lambda s: s.bar_start)]
    return [
        (bar[0].start, bar[-1].start + bar[-1].length, bar[0].meter, bar[0].bar, bar[-1].ends)
        for bar in found
        if bar[0].start >= 0
    ]


def pieces(made, phrases):
    """Return the parts with their notes; a phrase's pick-up lies before its first bar."""
    bars, at, found = bars_of(made.line), 0, []
    for part in made.parts:
        at = next(n for n in range(at, len(bars)) if bars[n][3] == part.bar)
        early = Fraction(0) if part.what in TITLES else phrases[part.what].pickup
        found.append((part.what, bars[at][0], bars[at][0] - early))
        at += part.bars
    ends = [*(begins for _, _, begins in found[1:]), bars[-1][1]]
    heard = tones(made.line)
    return [
        Piece(what, first, [t for t in heard if begins <= t.start < end])
        for (what, first, begins), end in zip(found, ends, strict=True)
    ]


def essential(chord):
    """Return the sounds of a chord's root, third, fifth and seventh, or what stands for them."""
    root, (third, fifth, seventh) = root_and_parts(chord)
    by_number = {degree.number: degree.semitones for degree in chord.degrees}
    third = by_number.get(4, by_number.get(2)) if third is None else third
    fifth = by_number.get(13) if fifth is None and by_number.get(13) == 20 else fifth
    parts = (0, third, fifth, seventh)
    return {(root + part) % 12 for part in parts if part is not None}


def check_filled(line):
    """Notes and rests follow each other from the first span to the last, none over N.C."""
    assert line.notes[0].start == line.spans[0].start
    assert all(b.start == a.start + a.length for a, b in pairwise(line.notes))
    last = line.spans[-1]
    assert line.notes[-1].start + line.notes[-1].length == last.start + last.length
    assert all(span_at(line, tone.start).chord for tone in tones(line))


def check_grade(made, terms):
    """Range and shortest value are the grade's."""
    heard = tones(made.line)
    midi = [tone.midi for tone in heard]
    assert terms.low <= min(midi)
    assert max(midi) <= terms.high <= terms.low + terms.grade.span
    for tone in heard:  # where an eighth is the beat there may be eighths in any grade
        beat = span_at(made.line, tone.start).meter.unit
        assert tone.end - tone.start >= min(*terms.grade.values, beat)


def check_breaths(made, terms):
    """So many bars in a row have a rest of a beat in them, and the last bar ends in one."""
    bars, heard = bars_of(made.line), tones(made.line)
    ends = [Fraction(0), *(tone.end for tone in heard)]
    begins = [*(tone.start for tone in heard), bars[-1][1]]
    rests = [(a, b) for a, b in zip(ends, begins, strict=True) if b > a]
    assert rests
    assert rests[-1][1] == bars[-1][1]
    assert rests[-1][1] - rests[-1][0] >= bars[-1][2].unit
    dry = [
        not any(b - a >= meter.unit and a < end and start < b for a, b in rests)
        for start, end, meter, _, _ in bars
    ]
    longest = max((len([*run]) for is_dry, run in groupby(dry) if is_dry), default=0)
    assert longest < terms.grade.breath


def check_joints(made, terms, phrases):
    before = None
    for piece in pieces(made, phrases):
        if not piece.notes:
            continue
        here = piece.notes[0]
        unit = span_at(made.line, here.start).meter.unit
        if piece.what in TITLES:
            check_kind(piece, made.line)
            check_nearest(here, before, made.line, terms)
        elif before:
            assert abs(here.midi - before.midi) <= 7
            assert here.start - before.end >= unit
        before = piece.notes[-1]


def check_nearest(here, before, line, terms):
    """A stretch begins on the chord tone nearest to the last note, the same only after a rest."""
    inside = essential(span_at(line, here.start).chord)
    assert here.midi % 12 in inside
    if before is None:
        return
    near = [m for m in range(terms.low, terms.high + 1) if m % 12 in inside and m != before.midi]
    if here.midi == before.midi:
        assert here.start > before.end
    else:
        assert abs(here.midi - before.midi) == min(abs(m - before.midi) for m in near)


def check_kind(piece, line):
    """A stretch ends on a chord tone, leaps an octave at most, and stands on strong beats."""
    last = piece.notes[-1]
    assert last.midi % 12 in essential(span_at(line, last.start).chord)
    assert all(abs(b.midi - a.midi) <= 12 for a, b in pairwise(piece.notes))
    for start, end, meter, _, _ in bars_of(line):
        changes = {s.start for s in line.spans if s.new and start <= s.start < end}
        middle = {start + meter.length / 2} if meter.beats % 2 == 0 else set()
        for beat in {start} | changes | middle:
            for note in piece.notes:
                if note.start <= beat < note.end:
                    assert not outside(span_at(line, beat), note.midi), (piece.what, beat)


def outside(span, midi):
    """Tell whether a note may not stand on a strong beat of a span."""
    chord, sound = span.chord, midi % 12
    root, (third, fifth, seventh) = root_and_parts(chord)
    if sound in {(chord.root.pitch_class + degree.semitones) % 12 for degree in chord.degrees}:
        return False
    below = (third,) if (third, seventh) == (4, 10) else (0, third, fifth)
    covered = {(root + part) % 12 for part in below if part is not None}
    return sound not in span.scale.pitch_classes or (sound - 1) % 12 in covered


def check_phrases(made, phrases):
    """A phrase is played as it is: its times, its steps, and each note's distance from its root."""
    for piece in pieces(made, phrases):
        if piece.what in TITLES:
            continue
        phrase = phrases[piece.what]
        own = sounds(phrase)
        assert [(t.start - piece.first, t.end - piece.first) for t in piece.notes] == [
            (one.start, one.end) for one in own
        ]
        assert {t.midi - one.midi for t, one in zip(piece.notes, own, strict=True)} == {
            piece.notes[0].midi - own[0].midi
        }
        for tone, one in zip(piece.notes, own, strict=True):
            if one.start >= 0:
                root = span_at(made.line, tone.start).chord.root.pitch_class
                there = over(phrase, one.start).root.pitch_class
                assert (tone.midi - root) % 12 == (one.midi - there) % 12


def check(made, terms, phrases):
    """Check an etude; `phrases` are those that it could use, by their titles."""
    check_filled(made.line)
    check_grade(made, terms)
    check_breaths(made, terms)
    check_joints(made, terms, phrases)
    check_phrases(made, phrases)
