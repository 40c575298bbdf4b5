"""The connected arpeggio against worked examples, and against a verifier of its own."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from chartkit.chart import Meter
from chartkit.errors import CannotPlay
from chartkit.exercise.connected import connected, connected_arpeggio
from chartkit.exercise.terms import Terms
from chartkit.guitar.fingering import finger
from chartkit.guitar.fretboard import STANDARD, compass
from chartkit.line_options import LineOptions

drawn = settings(derandomize=True, max_examples=200, deadline=None)

# Root, third, fifth and seventh (or sixth) in semitones and their letters counted from the root.
# Semitones after Harte et al. 2005 (ISMIR), as chord shorthand is encoded by mir_eval 0.8.2;
# an altered dominant gives 1 3 b7 b13, a suspended chord has its fourth [common practice].
ESSENTIAL = {
    "": {0: 1, 4: 3, 7: 5},
    "m": {0: 1, 3: 3, 7: 5},
    "dim": {0: 1, 3: 3, 6: 5},
    "+": {0: 1, 4: 3, 8: 5},
    "5": {0: 1, 7: 5},
    "sus": {0: 1, 5: 4, 7: 5},
    "sus2": {0: 1, 2: 2, 7: 5},
    "7": {0: 1, 4: 3, 7: 5, 10: 7},
    "maj7": {0: 1, 4: 3, 7: 5, 11: 7},
    "m7": {0: 1, 3: 3, 7: 5, 10: 7},
    "m7b5": {0: 1, 3: 3, 6: 5, 10: 7},
    "dim7": {0: 1, 3: 3, 6: 5, 9: 7},
    "m(maj7)": {0: 1, 3: 3, 7: 5, 11: 7},
    "6": {0: 1, 4: 3, 7: 5, 9: 6},
    "m6": {0: 1, 3: 3, 7: 5, 9: 6},
    "6/9": {0: 1, 4: 3, 7: 5, 9: 6},
    "7sus": {0: 1, 5: 4, 7: 5, 10: 7},
    "13sus": {0: 1, 5: 4, 7: 5, 10: 7},
    "7#5": {0: 1, 4: 3, 8: 5, 10: 7},
    "7b5": {0: 1, 4: 3, 6: 5, 10: 7},
    "maj7#5": {0: 1, 4: 3, 8: 5, 11: 7},
    "7b9": {0: 1, 4: 3, 7: 5, 10: 7},
    "7#9#11": {0: 1, 4: 3, 7: 5, 10: 7},
    "13": {0: 1, 4: 3, 7: 5, 10: 7},
    "m11": {0: 1, 3: 3, 7: 5, 10: 7},
    "maj9#11": {0: 1, 4: 3, 7: 5, 11: 7},
    "7alt": {0: 1, 4: 3, 10: 7, 8: 6},
}
ROOTS = ["C", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "Bb", "B"]
SYMBOLS = [root + quality for root in ROOTS for quality in ESSENTIAL]
ROLES = {1: "root", 2: "second", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth", 7: "seventh"}


def midi(line):
    return [note.pitch.midi for note in line.notes if note.pitch]


def numbers(text):
    return [int(word) for word in text.replace("|", " ").split()]


# Worked by hand from the definition.
WORKED = {
    "Dm7 | G7 | Cmaj7 | Cmaj7": """50 53 57 60 62 65 69 72 | 71 67 65 62 59 55 53 50
        | 48 47 48 52 55 59 60 64 | 67 71 72 71 67 64 60 59""",
    "Dm7b5 | G7 | Cm7 | Cm7": """50 53 56 60 62 65 68 72 | 71 67 65 62 59 55 53 50
        | 48 46 48 51 55 58 60 63 | 67 70 72 70 67 63 60 58""",
}


@pytest.mark.parametrize("text", WORKED)
def test_worked_examples(changes, text):
    line = connected(changes(text), 45, 72, start=50, value=Fraction(1, 2), upward=True)
    assert midi(line) == numbers(WORKED[text])


@pytest.mark.parametrize("text", WORKED)
def test_the_lowest_root_is_where_it_starts_by_default(changes, text):
    assert midi(connected(changes(text), 45, 72)) == numbers(WORKED[text])


# A verifier that knows the definition and nothing of how lines are made.


def verify(line, tones_of, low, high, value):
    """Check a line against the definition; `tones_of` tells a chord's pitch classes."""
    check_time(line, value)
    played = [(note, span) for note, span in with_spans(line) if note.pitch]
    for note, span in played:
        assert low <= note.pitch.midi <= high
        assert note.pitch.midi % 12 in tones_of(span)
    heard = [(note.pitch.midi, tones_of(span), span) for note, span in played]
    way = None
    for (last, _, before), (pitch, tones, now) in pairwise(heard):
        up = pitch > last
        assert pitch != last
        between = range(last + 1, pitch) if up else range(pitch + 1, last)
        assert not {one % 12 for one in between} & tones, "a nearer chord tone was passed over"
        if way is not None and up != way:
            beyond = range(last + 1, high + 1) if way else range(low, last)
            assert not {one % 12 for one in beyond} & tones, "it turned before the rim"
        if before.bar != now.bar:
            assert abs(pitch - last) <= largest_gap(tones)
        way = up


def check_time(line, value):
    """Notes follow one another without gaps, and each chord is heard exactly while it lasts."""
    assert all(last.start + last.length == note.start for last, note in pairwise(line.notes))
    begins = {note.start for note in line.notes}
    assert begins >= {span.start for span in line.spans}
    assert line.notes[-1].start + line.notes[-1].length == line.spans[-1].start + (
        line.spans[-1].length
    )
    assert all(note.length == value for note in line.notes if note.pitch)
    for note, span in with_spans(line):
        assert (note.pitch is None) == (span.chord is None)


def with_spans(line):
    """Each note and the span it starts in."""
    for note in line.notes:
        yield note, [span for span in line.spans if span.start <= note.start][-1]


def largest_gap(tones):
    ordered = sorted(tones)
    return max(after - tone for tone, after in pairwise([*ordered, ordered[0] + 12]))


def by_table(names):
    """Pitch classes of each span by the table above, given the symbols the spans came from."""

    def tones_of(span):
        root, quality = names[span.start]
        return {(root + semitones) % 12 for semitones in ESSENTIAL[quality]}

    return tones_of


LETTERS = "CDEFGAB"
NATURAL = dict(zip(LETTERS, (0, 2, 4, 5, 7, 9, 11), strict=True))


def split(symbol):
    """``F#m7b5`` into its root's pitch class and ``m7b5``."""
    accidental = {"#": 1, "b": -1}.get(symbol[1:2], 0)
    return (NATURAL[symbol[0]] + accidental) % 12, symbol[2:] if accidental else symbol[1:]


@st.composite
def bars(draw):
    """Rows of bars with one, two or four chords each, and now and then a silent one."""
    cells = st.one_of(*(st.lists(st.sampled_from(SYMBOLS), min_size=n, max_size=n) for n in (1, 2)))
    return draw(st.lists(st.one_of(cells, cells, st.just(["N.C."])), min_size=1, max_size=12))


@st.composite
def requests(draw):
    """A range, and how the line is asked to go through it."""
    low = draw(st.integers(40, 60))
    above = draw(st.none() | st.integers(0, 13))
    values = [Fraction(1, 4), Fraction(1, 3), Fraction(1, 2), Fraction(1), Fraction(2)]
    return (low, low + draw(st.integers(13, 30))), {
        "start": None if above is None else low + above,
        "value": draw(st.sampled_from(values)),
        "upward": draw(st.booleans()),
    }


@drawn
@given(bars(), requests())
def test_drawn_changes(changes, cells, request_made):
    made = changes(" | ".join(" ".join(cell) for cell in cells))
    assume(any(span.chord for span in made))
    (low, high), asked = request_made
    line = connected(made, low, high, **asked)
    symbols = [symbol for cell in cells for symbol in cell]
    names = {
        span.start: split(symbol) for span, symbol in zip(made, symbols, strict=True) if span.chord
    }
    verify(line, by_table(names), low, high, asked["value"])
    check_start(line, range(low, high + 1), by_table(names), asked)


def check_start(line, within, tones_of, asked):
    first, span = next((note, span) for note, span in with_spans(line) if note.pitch)
    inside = [pitch for pitch in within if pitch % 12 in tones_of(span)]
    if asked["start"] is None:
        assert first.pitch.midi % 12 == span.chord.root.pitch_class
        nearer = {p for p in within if p < first.pitch.midi}
        if not asked["upward"]:
            nearer = set(within) - nearer - {first.pitch.midi}
        assert not {p for p in nearer if p % 12 == first.pitch.midi % 12}
    else:
        away = {pitch: abs(pitch - asked["start"]) for pitch in inside}
        assert first.pitch.midi == min(p for p in away if away[p] == min(away.values()))
    above = [pitch for pitch in inside if pitch > first.pitch.midi]
    below = [pitch for pitch in inside if pitch < first.pitch.midi]
    ways = (above[:1], below[-1:]) if asked["upward"] else (below[-1:], above[:1])
    if asked["value"] < span.length:
        second = line.notes[line.notes.index(first) + 1]
        assert [second.pitch.midi] == (ways[0] or ways[1])


@pytest.mark.parametrize("quality", ESSENTIAL)
@pytest.mark.parametrize("root", ROOTS)
def test_notes_are_spelled_and_named_by_their_degrees(changes, root, quality):
    line = connected(changes(root + quality), 48, 72)
    pitch_class, _ = split(root)
    assert {note.pitch.midi for note in line.notes} <= set(range(48, 73))
    for note in line.notes:
        number = ESSENTIAL[quality][(note.pitch.midi - pitch_class) % 12]
        letter = LETTERS[(LETTERS.index(root[0]) + number - 1) % 7]
        assert note.pitch.name.letter == letter
        thirteenth = quality == "7alt" and number == 6
        assert note.role == ("thirteenth" if thirteenth else ROLES[number])


def test_at_the_rim_a_change_of_chord_turns_only_where_nothing_lies_beyond(changes):
    two_quarters = Fraction(2)
    # C ends on 64 going up; the new chord has 65 and 68 beyond it, so the line goes on.
    line = connected(changes("C | Db7"), 60, 70, start=60, value=two_quarters)
    assert midi(line) == [60, 64, 65, 68]
    # C ends on its top tone 72; with 73 in range the line goes on up, and turns after it.
    line = connected(changes("C | Db7 | Db7"), 60, 73, start=67, value=two_quarters)
    assert midi(line) == [67, 72, 73, 71, 68, 65]
    # Without 73 it turns with the change itself.
    line = connected(changes("C | Db7 | Db7"), 60, 72, start=67, value=two_quarters)
    assert midi(line) == [67, 72, 71, 68, 65, 61]


def test_going_down_first(changes):
    line = connected(changes("Cmaj7"), 45, 72, start=60, upward=False)
    assert midi(line) == [60, 59, 55, 52, 48, 47, 48, 52]


@pytest.mark.parametrize(("start", "first"), [(61, 60), (62, 60), (63, 64), (60, 60), (70, 71)])
def test_a_start_beside_the_chord_takes_the_nearest_tone(changes, start, first):
    # Of two equally near the lower one: 62 lies between 60 and 64.
    assert midi(connected(changes("Cmaj7"), 60, 72, start=start))[0] == first


def test_going_down_it_starts_from_the_highest_root_by_default(changes):
    line = connected(changes("Cmaj7"), 45, 74, upward=False)
    assert midi(line) == [72, 71, 67, 64, 60, 59, 55, 52]


def test_a_range_without_a_root_starts_from_its_rim(changes):
    assert midi(connected(changes("Cmaj7"), 62, 71))[0] == 64
    assert midi(connected(changes("Cmaj7"), 62, 71, upward=False))[0] == 71


def test_no_chord_rests_and_the_line_goes_on_from_where_it_was(changes):
    line = connected(changes("C | N.C. | C"), 48, 84, start=48, value=Fraction(1))
    assert [note.pitch and note.pitch.midi for note in line.notes] == [
        *(48, 52, 55, 60),
        None,
        *(64, 67, 72, 76),
    ]
    assert line.notes[4].length == 4


def test_the_line_may_start_with_a_rest(changes):
    line = connected(changes("N.C. | F7"), 41, 70)
    assert line.notes[0].pitch is None
    assert line.notes[1].pitch.midi == 41


def test_a_pushed_chord_changes_on_its_written_beat(changes):
    plain = changes("Dm7 | G7")
    pushed = tuple(replace(span, pushed=True) for span in plain)
    assert connected(pushed, 45, 72).notes == connected(plain, 45, 72).notes


@pytest.mark.parametrize(
    ("meter", "values"),
    [
        (Meter(3), [Fraction(1, 2), Fraction(1, 3), Fraction(1), Fraction(3)]),
        (Meter(5), [Fraction(1, 2), Fraction(1)]),
        (Meter(2), [Fraction(1, 4), Fraction(2)]),
        (Meter(4, Fraction(3, 2)), [Fraction(1, 2), Fraction(3, 2)]),
    ],
)
def test_bars_of_other_lengths(changes, meter, values):
    text = "Dm7 | G7 | Cmaj7"
    for value in values:
        line = connected(changes(text, meter), 45, 72, value=value)
        names = dict(zip((s.start for s in line.spans), map(split, text.split(" | ")), strict=True))
        verify(line, by_table(names), 45, 72, value)
        assert len(line.notes) == 3 * meter.length / value


@pytest.mark.parametrize(
    ("text", "meter", "value", "sentence"),
    [
        ("C | F G", Meter(3), Fraction(1), "bar 2: a chord of 1 1/2 quarter notes .* of 1 quarter"),
        ("C | F", Meter(3), Fraction(2), "bar 1: a chord of 3 quarter notes is not filled by"),
    ],
)
def test_a_note_value_that_does_not_fit(changes, text, meter, value, sentence):
    with pytest.raises(CannotPlay, match=sentence):
        connected(changes(text, meter), 45, 72, value=value)


def test_too_small_a_range(changes):
    with pytest.raises(CannotPlay, match=r"bar 2: Gbmaj7 has fewer .* from C4 to E4; widen"):
        connected(changes("C | Gbmaj7"), 60, 64)


TWO_FIVE_ONES = [
    "{0}m7 | {1}7 | {2}maj7 | {2}6",
    "{0}m7b5 {1}7alt | {2}m6 | {2}m7 {1}7b9 | {2}m(maj7)",
]
CIRCLE = ["C", "F", "Bb", "Eb", "Ab", "Db", "Gb", "B", "E", "A", "D", "G"]


@pytest.mark.parametrize("position", range(1, 13))
@pytest.mark.parametrize("text", TWO_FIVE_ONES)
def test_in_every_position_every_key_has_a_line_and_a_fingering(changes, text, position):
    low, high = compass(STANDARD, position)
    for index, tonic in enumerate(CIRCLE):
        two, five = CIRCLE[index - 2], CIRCLE[index - 1]
        words = text.format(two, five, tonic)
        line = connected(changes(words), low, high)
        symbols = words.replace("|", " ").split()
        names = {s.start: split(name) for s, name in zip(line.spans, symbols, strict=True)}
        verify(line, by_table(names), low, high, Fraction(1, 2))
        fingering = finger(line, position=position)
        for note, stop in zip(line.notes, fingering.stops, strict=True):
            assert STANDARD.open_strings[-stop.string] + stop.fret == note.pitch.midi
            assert position - 1 <= stop.fret <= position + 4


def test_worked_with_triads_and_with_3_5_7_9(tune, written):
    triads = Terms(45, 72, options=LineOptions(tones="triads"))
    assert written(connected_arpeggio(tune("Dm7 | G7 | Cmaj7"), triads)) == (
        "D3 F3 A3 D4 F4 A4 F4 D4 | B3 G3 D3 B2 D3 G3 B3 D4 | E4 G4 C5 G4 E4 C4 G3 E3"
    )
    upper = Terms(45, 72, options=LineOptions(tones="3-5-7-9"))
    assert written(connected_arpeggio(tune("Dm7 | G7 | Cm7", key="C minor"), upper)) == (
        "F3 A3 C4 E4 F4 A4 C5 A4 | Ab4 F4 D4 B3 Ab3 F3 D3 B2 | Bb2 D3 Eb3 G3 Bb3 D4 Eb4 G4"
    )


def check(case):
    """Through the chord's tones, each the next in its direction; over a bar line no great leap."""
    case.check_even()
    case.check_first()
    case.check_travel([(note.pitch.midi, case.choice(index)) for note, index in case.played])
    for (last, before), (note, index) in pairwise(case.played):
        if case.spans[before].bar_start != case.spans[index].bar_start:
            tones = {tone % 12 for tone in case.tone_set(index)}
            assert abs(note.pitch.midi - last.pitch.midi) <= largest_gap(tones)


OPTIONS = [LineOptions(tones=tones) for tones in (None, "triads", "3-5-7-9")]


def test_on_charts(on_charts):
    on_charts(check, "connected", *OPTIONS)


@pytest.mark.sweep
def test_on_every_chart(on_every_chart):
    on_every_chart(check, "connected", *OPTIONS)
