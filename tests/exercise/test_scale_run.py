"""The scale run: worked examples, every other line, and its definition on every chart."""

from fractions import Fraction
from itertools import pairwise

import pytest

from chartkit.errors import CannotPlay
from chartkit.exercise.scale_run import scale_run
from chartkit.exercise.terms import Terms

HALF, QUARTER, EIGHTH = Fraction(2), Fraction(1), Fraction(1, 2)

# Worked by hand: 5-6 on major, so the beats carry 1 3 5 6; b7-1 on dominant, minor seventh and
# half-diminished [common practice]. Sharp going up, flat going down.
OCTAVES = {
    "Cmaj7": "C3 D3 E3 F3 G3 G#3 A3 B3",
    "C6": "C3 D3 E3 F3 G3 G#3 A3 B3",
    "C": "C3 D3 E3 F3 G3 G#3 A3 B3",
    "Dm7": "D3 E3 F3 G3 A3 B3 C4 C#4",
    "G7": "G3 A3 B3 C4 D4 E4 F4 F#4",
    "Bm7b5": "B2 C3 D3 E3 F3 G3 A3 A#3",
    "Bdim7": "B2 C#3 D3 E3 F3 G3 Ab3 A#3",
}


@pytest.mark.parametrize("symbol", OCTAVES)
def test_an_octave_up(tune, written, symbol):
    line = scale_run(tune(f"{symbol} | {symbol}"), Terms(47, 84))
    assert written(line).split(" | ")[0] == OCTAVES[symbol]


@pytest.mark.parametrize(
    ("symbol", "notes"),
    [
        ("Cmaj7", "C5 B4 A4 Ab4 G4 F4 E4 D4"),
        ("G7", "G4 Gb4 F4 E4 D4 C4 B3 A3"),
        ("Dm7", "D4 Db4 C4 B3 A3 G3 F3 E3"),
    ],
)
def test_an_octave_down(tune, written, symbol, notes):
    top = {"C": 72, "G": 67, "D": 62}[symbol[0]]
    line = scale_run(tune(f"{symbol} | {symbol}"), Terms(40, top, upward=False))
    assert written(line).split(" | ")[0] == notes


def test_through_the_changes(tune, written):
    line = scale_run(tune("Dm7 | G7 | Cmaj7 | Cmaj7"), Terms(44, 73))
    assert written(line) == (
        "D3 E3 F3 G3 A3 B3 C4 C#4 | D4 E4 F4 F#4 G4 A4 B4 A4 "
        "| G4 F4 E4 D4 C4 B3 A3 Ab3 | G3 F3 E3 D3 C3 B2 A2 Ab2"
    )


def test_what_the_beats_of_suspended_and_altered_chords_carry(tune):
    def on_beats(symbol):
        notes = scale_run(tune(" | ".join([symbol] * 4)), Terms(43, 84)).notes
        return {(note.pitch.midi - 55) % 12 for note in notes[::2]}

    assert on_beats("G7sus") <= {0, 2, 5, 7, 10}
    assert on_beats("G7alt") <= {0, 1, 4, 8, 10}


def test_longer_notes_have_a_chord_tone_on_every_other_one(tune, written):
    line = scale_run(tune("Dm7 | G7 | Cmaj7"), Terms(45, 72, value=QUARTER))
    assert written(line) == "D3 E3 F3 F#3 | G3 A3 B3 A3 | G3 F3 E3 D3"


def test_the_spelling_of_the_symbol_goes_before_the_scale_s(tune):
    notes = scale_run(tune("C7b5 | C7b5"), Terms(48, 72)).notes
    assert {str(n.pitch.name) for n in notes if n.pitch.midi % 12 == 6} == {"Gb"}


@pytest.mark.parametrize(
    ("rows", "low", "high", "sentence"),
    [
        ("C6 | Gbmaj7", 60, 62, "bar 2: Gbmaj7 is not reached by step .* from C4 to D4; widen"),
        ("C6 | D6", 60, 61, "bar 1: C6 is not reached by step"),
        ("Gbmaj7", 60, 60, "bar 1: Gbmaj7 has no chord tone from C4 to C4; widen the range"),
    ],
)
def test_too_small_a_range(tune, rows, low, high, sentence):
    with pytest.raises(CannotPlay, match=sentence):
        scale_run(tune(rows), Terms(low, high))


def check(case):
    """Step by step, chord tones on the beats, chromatic steps gone through and spelled."""
    case.check_even()
    beats = case.beats(2)
    for note, index in case.played:
        scale = case.spans[index].scale.pitch_classes
        if note.start in beats:
            assert on_a_beat(case, index, note.pitch.midi)
        else:
            assert (note.role == "passing") == (note.pitch.midi % 12 not in scale)
    pitches = [note.pitch.midi for note, _ in case.played]
    for number, (note, index) in enumerate(case.played):
        if note.role == "passing":
            check_passing(case, pitches[number - 1 : number + 2], note, index)
    for (last, _), (note, index) in pairwise(case.played):
        assert is_step(case, last, note, index)


def on_a_beat(case, index, midi):
    span, parts = case.spans[index], case.parts(index)
    root = span.chord.root.pitch_class
    scale = {(pitch_class - root) % 12 for pitch_class in span.scale.pitch_classes}
    tones = set(parts.seven)
    if parts.seventh == 11 and parts.fifth == 7 and 9 in scale:
        tones = tones - {11} | {9}
    if parts.seventh is None:
        tones |= {10} if 10 in scale else {9} & scale
    between = sorted(tone for tone in scale if 0 < tone < (parts.third or 0))
    if len(between) > 1:
        tones.add(between[0])
    return (midi - root) % 12 in tones


def check_passing(case, around, note, index):
    """Between two scale tones a whole tone apart, in one direction, spelled for it."""
    before, midi = around[:2]
    way = midi - before
    assert abs(way) == 1
    assert {(midi - 1) % 12, (midi + 1) % 12} <= case.spans[index].scale.pitch_classes
    assert around[2:] in ([midi + way], [])
    white = midi % 12 in {0, 2, 4, 5, 7, 9, 11}
    assert note.pitch.name.alter == (0 if white else way)


def is_step(case, last, note, index):
    """A semitone, a tone, or an augmented second of the scale, over none of its tones."""
    scale = case.spans[index].scale.pitch_classes
    low, high = sorted((last.pitch.midi, note.pitch.midi))
    size = high - low
    if size > 1 and "passing" in (last.role, note.role):
        return False
    if {p % 12 for p in range(low + 1, high)} & scale:
        return False
    return size in {1, 2} or (size == 3 and {low % 12, high % 12} <= scale)


# Points, told once more: a turn costs 8 and what is left of the range; a chromatic step 1 where it
# is usual and 2 elsewhere; a ninth on a beat 1.


def points_of(case, notes):
    """Points of a line given as (pitch, is a chromatic step), one a note value."""
    total, way = 0, case.upward
    for (before, _), (after, chromatic) in pairwise(notes):
        if (after > before) != way:
            total += 8 + (case.high - before if way else before - case.low)
            way = not way
        total += chromatic_points(case, after) if chromatic else 0
    return total + sum(ninth_points(case, pitch) for pitch, _ in notes[::2])


def chromatic_points(case, pitch):
    root = case.spans[0].chord.root.pitch_class
    scale = {(pitch_class - root) % 12 for pitch_class in case.spans[0].scale.pitch_classes}
    return 1 if (pitch - root) % 12 == (11 if 10 in scale else 8) else 2


def ninth_points(case, pitch):
    above = (pitch - case.spans[0].chord.root.pitch_class) % 12
    return 1 if above in {1, 2} and case.parts(0).third not in {1, 2} else 0


def every_line(case, count):
    """Every line of eighths on one chord that the definition allows, by plain search."""
    scale = case.spans[0].scale.pitch_classes
    root = case.spans[0].chord.root.pitch_class
    roots = [p for p in range(case.low, case.high + 1) if p % 12 == root]
    lines = [[(min(roots) if case.upward else max(roots), False)]]
    for number in range(1, count):
        lines = [
            [*line, (pitch, chromatic)]
            for line in lines
            for pitch in range(line[-1][0] - 3, line[-1][0] + 4)
            for chromatic in [pitch % 12 not in scale]
            if case.low <= pitch <= case.high
            if not (number % 2 == 0 and (chromatic or not on_a_beat(case, 0, pitch)))
            if allowed(line, pitch, chromatic, scale)
        ]
    return lines


def allowed(line, pitch, chromatic, scale):
    last, was_chromatic = line[-1]
    size, way = abs(pitch - last), 1 if pitch > last else -1
    if not size or any(p % 12 in scale for p in range(min(last, pitch) + 1, max(last, pitch))):
        return False
    if chromatic:
        return size == 1 and not was_chromatic and (pitch + way) % 12 in scale
    if was_chromatic:
        return size == 1 and (last > line[-2][0]) == (pitch > last)
    return True


@pytest.mark.parametrize(
    "symbol", ["Cmaj7", "C7", "Cm7", "Cm7b5", "Cdim7", "C7sus", "C7alt", "Cm6"]
)
@pytest.mark.parametrize("width", [7, 10, 14])
@pytest.mark.parametrize("upward", [True, False])
def test_no_other_line_has_fewer_points(tune, in_case, symbol, width, upward):
    terms = Terms(60, 60 + width, upward=upward)
    case = in_case(scale_run, tune(symbol), terms)
    found = [(n.pitch.midi, n.role == "passing") for n in case.line.notes]
    others = every_line(case, len(found))
    assert found in others
    assert points_of(case, found) == min(points_of(case, line) for line in others)


def test_on_charts(on_charts):
    on_charts(check, "scale")


@pytest.mark.sweep
def test_on_every_chart(on_every_chart):
    on_every_chart(check, "scale")
