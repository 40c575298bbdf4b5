"""What notes are to their chords and to each other, on lines that can be checked by ear."""

import pytest
from hypothesis import given, settings
from phrase_strategies import phrases

from chartkit.phrase.analysis import facts_of
from chartkit.phrase.degrees import degree_of, step_of
from chartkit.phrase.reader import parse
from chartkit.phrase.values import heard
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import read_symbol


def facts(chords, melody, header="Key: C\n"):
    phrase = parse(f"{header}Chords: {chords}\nMelody: {melody}", "x").phrase
    return facts_of(phrase)


def degrees(chords, melody):
    return [str(fact.degree) for fact in facts(chords, melody)]


def roles(chords, melody):
    return [fact.role for fact in facts(chords, melody)]


# ---- Degrees ----------------------------------------------------------------------------------


def test_degrees_follow_the_spelling():
    told = degrees("C7", "e C4 Db D Eb E F F# G")
    assert told == ["1", "b9", "9", "b3", "3", "11", "#11", "5"]


@pytest.mark.parametrize(
    ("symbol", "note", "degree"),
    [
        ("C6", "A", "6"),
        ("C7", "A", "13"),
        ("C7sus", "F", "4"),
        ("C7", "F", "11"),
        ("Cm7", "F", "11"),
        ("Cdim7", "Bbb", "bb7"),
        ("E7#9", "F##", "#9"),
        ("E7#9", "G", "b3"),
        ("Gb7", "Fb", "b7"),
        ("Csus2", "D", "2"),
    ],
)
def test_degree_of_a_chord(symbol, note, degree):
    assert str(degree_of(read_symbol(symbol).chord, NoteName.parse(note))) == degree


@pytest.mark.parametrize("root", ["C", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "B"])
@pytest.mark.parametrize("quality", ["7", "m7", "maj7", "m7b5", "o7", "7alt", "6", "m(maj7)"])
def test_every_chord_tone_is_its_degree(root, quality):
    chord = read_symbol(root + quality).chord
    for degree, name in zip(chord.degrees, chord.tones, strict=True):
        assert step_of(chord.root, name).semitones % 12 == degree.semitones % 12
        assert degree_of(chord, name) == degree


def test_a_note_that_comes_early_belongs_to_the_next_chord():
    *_, last = facts("G7 | Cmaj7", "| h. B3 e G3 E4 _ | h E4 r |")
    assert (str(last.degree), last.early) == ("3", True)


def test_a_note_that_starts_on_its_own_beat_does_not():
    *_, held = facts("G7 | Cmaj7", "| h B3 E4 _ | q E4 r h r |")
    assert (str(held.degree), held.early) == ("13", False)
    *_, short = facts("G7 | Cmaj7", "| h. B3 e G3 E4 _ | s E4 s r e r q r h r |")
    assert (str(short.degree), short.early) == ("13", False)


def test_a_pickup_is_counted_against_the_first_chord():
    first, *_ = facts("Dm7", "e C#4 | q D4")
    assert (str(first.degree), first.role, first.standing) == ("7", "approach", "chromatic")


def test_where_no_chord_stands_nothing_is_known():
    (only,) = facts("N.C.", "w C4")
    assert (only.degree, only.standing) == (None, "unknown")
    (alone,) = facts_of(parse("Key: C\nMelody: w C4", "x").phrase)
    assert (alone.chord, alone.standing) == (None, "unknown")


def test_tones_of_the_scale_are_tensions_and_the_rest_is_chromatic():
    assert [fact.standing for fact in facts("Dm7", "e D4 E F# G Ab B C C#")] == [
        *("chord tone", "tension", "chromatic", "tension", "chromatic", "tension"),
        *("chord tone", "chromatic"),
    ]


# ---- What leads where (common practice, no source) ---------------------------------------------


def test_approach_notes_lead_to_stronger_places():
    assert roles("C6", "e C4 F# q G4") == ["", "approach", "target"]
    assert roles("C6", "q F4 e G E") == ["", "", ""]
    assert roles("C6", "te C4 F# G") == ["", "approach", "target"]
    assert roles("C6", "te C4 F G") == ["", "", ""]


def test_an_enclosure_lies_on_both_sides():
    assert roles("Cmaj7", "e F4 D# q E") == ["enclosure", "enclosure", "target"]
    assert roles("Cmaj7", "e F4 D q E") == ["enclosure", "enclosure", "target"]
    assert roles("Cmaj7", "e G4 D q E") == ["", "approach", "target"]


def test_a_rest_parts_notes():
    assert roles("Cmaj7", "e F4 s D# r q E") == ["", "", ""]


def test_passing_and_neighbour_notes():
    assert roles("Cmaj7", "q C4 e D E r") == ["", "passing", ""]
    assert roles("Cmaj7", "q E4 e F E r") == ["", "neighbour", ""]
    assert roles("Cmaj7", "q G4 e F B3 r") == ["", "", ""]


def test_over_the_bar_line_the_next_chord_is_the_target():
    told = facts("G7 | Cmaj7", "| h. G4 e D4 F4 | w E4")
    assert [fact.role for fact in told] == ["", "enclosure", "enclosure", "target"]
    assert [str(fact.degree) for fact in told] == ["1", "5", "b7", "3"]


@settings(max_examples=60, deadline=None, derandomize=True)
@given(phrases())
def test_every_note_has_its_facts(phrase):
    told = facts_of(phrase)
    assert [(f.start, f.length, f.pitch) for f in told] == [
        (one.start, one.length, one.pitch) for one in heard(phrase.notes) if one.pitch
    ]
    for fact in told:
        assert (fact.degree is None) == (fact.chord is None)
        if fact.degree:
            name = fact.chord.root.up(fact.degree)
            assert name.pitch_class == fact.pitch.name.pitch_class
            if fact.standing == "chord tone":
                assert fact.pitch.midi % 12 in fact.chord.pitch_classes
        if fact.role == "target":
            assert fact.standing == "chord tone"
