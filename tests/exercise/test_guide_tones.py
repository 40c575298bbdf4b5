"""Guide tones: worked examples, and their definition on every chart."""

import pytest

from chartkit.errors import CannotPlay
from chartkit.exercise.guide_tones import guide_tones
from chartkit.exercise.terms import Terms
from chartkit.line_options import LineOptions

BLUES = "F7 | Bb7 | F7 | F7 | Bb7 | Bo7 | F7 | D7 | Gm7 | C7 | F7 | C7"

# Worked by hand: third or seventh, the nearest to the last, of two equally near the lower.
WORKED = [
    ("Dm7 | G7 | Cmaj7", "C major", "third", "F F E"),
    ("Dm7 | G7 | Cmaj7", "C major", "seventh", "C B B"),
    (BLUES, "F major", "third", "A Ab A A Ab Ab A F# F E Eb E"),
    # A sixth for the seventh; third and root of a triad; the fourth of a suspended chord.
    ("C6 | F6 | Am6 | G7sus | C", "C major", "third", "E D C C C"),
    ("C | F | G/B | C", "C major", "seventh", "C A G E"),
    ("Dm7b5 | G7alt | Cm(maj7)", "C minor", "third", "F F Eb"),
    ("Cdim7 | Bm7 | C5 | C5", "C major", "third", "Eb D C C"),
]


@pytest.mark.parametrize(("rows", "key", "first", "names"), WORKED)
def test_worked_examples(tune, rows, key, first, names):
    options = LineOptions(first=first)
    line = guide_tones(tune(rows, key=key), Terms(45, 76, options=options))
    assert [str(note.pitch.name) for note in line.notes] == names.split()


def test_a_note_lasts_as_long_as_its_chord_in_the_bar_and_rests_over_no_chord(tune):
    line = guide_tones(tune("Dm7 G7 | Cmaj7 | Cmaj7 | N.C. | F / / G7"), Terms(45, 72))
    assert [(note.length, note.pitch is None) for note in line.notes] == [
        (2, False),
        (2, False),
        (4, False),
        (4, False),
        (4, True),
        (3, False),
        (1, False),
    ]


def test_it_begins_near_the_middle_of_the_range_or_near_the_start(tune):
    def first(**terms):
        return str(guide_tones(tune("Dm7"), Terms(**terms)).notes[0].pitch)

    assert first(low=45, high=72) == "F3"
    assert first(low=50, high=84) == "F4"
    assert first(low=45, high=72, start=72) == "F4"
    # From B3 both F's are a tritone away.
    assert first(low=45, high=72, start=59) == "F3"


def test_a_range_without_a_guide_tone(tune):
    with pytest.raises(CannotPlay, match="bar 2: Gmaj7 has no guide tone from C4 to E4; widen"):
        guide_tones(tune("C6 | Gmaj7"), Terms(60, 64))


def check(case):
    """One note a chord in each bar, the nearest of its two guide tones."""
    near = (case.low + case.high) // 2
    assert [note.start for note, _ in case.played] == [s.start for s in case.spans if s.chord]
    for number, (note, index) in enumerate(case.played):
        span, parts = case.spans[index], case.parts(index)
        assert (note.start, note.length) == (span.start, span.length)
        pair = [parts.third, parts.seventh or 0]
        if number == 0:
            pair = pair[1:] if case.options.first == "seventh" else pair[:1]
        root = span.chord.root.pitch_class
        choice = [p for p in range(case.low, case.high + 1) if (p - root) % 12 in pair]
        assert (abs(note.pitch.midi - near), note.pitch.midi) == min(
            (abs(p - near), p) for p in choice
        )
        near = note.pitch.midi


OPTIONS = [LineOptions(first=first) for first in (None, "third", "seventh")]


def test_on_charts(on_charts):
    on_charts(check, "guide-tones", *OPTIONS)


@pytest.mark.sweep
def test_on_every_chart(on_every_chart):
    on_every_chart(check, "guide-tones", *OPTIONS)
