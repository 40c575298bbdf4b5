"""Variations: each is what it says and keeps the harmony; see ``tests/variation_rules.py``."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from phrase_strategies import phrases
from variation_rules import CHECKS, check, check_harmony, midis

from chartkit.errors import RequestError
from chartkit.guitar.fretboard import STANDARD
from chartkit.make_etude import demo_phrases
from chartkit.phrase.reader import parse
from chartkit.phrase.shape import best_fingering
from chartkit.phrase.variation import DIMENSIONS, variations
from chartkit.phrase.writer import write
from chartkit.theory.pitch import Pitch

DEMOS = {phrase.title: phrase for phrase in demo_phrases()}
FEW = sorted(DEMOS)[::4]


def read(text):
    reading = parse(text, "mine")
    assert reading.phrase, reading.faults
    return reading.phrase


CORNER = """Key: C major
Chords: Dm7 | G7 | Cmaj7
Melody: e C4 | e D4 F4 A4 C5 q B4 A4 | e G4 B4 D5 F5 E5 D5 C5 B4 | q C5 G4 h E4
"""


def test_every_dimension_has_a_verifier():
    assert set(CHECKS) == set(DIMENSIONS)


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_there_is_a_variation_in_every_dimension(dimension):
    assert variations(read(CORNER), (dimension,))


@pytest.mark.parametrize("title", FEW)
def test_every_variation_passes_its_verifier(title):
    made = variations(DEMOS[title])
    assert len(made) > 20
    for one in made:
        check(one, DEMOS[title])


@pytest.mark.sweep
@pytest.mark.parametrize("title", sorted(DEMOS))
def test_every_variation_of_every_demo_passes_its_verifier(title):
    for one in variations(DEMOS[title]):
        check(one, DEMOS[title])
        assert midis(read(write(one.phrase))) == midis(one.phrase)


@pytest.mark.parametrize("title", FEW)
def test_a_variation_is_a_phrase_like_any_other(title):
    """It reads back the same, tells what was changed, and can be fingered."""
    for one in variations(DEMOS[title])[::9]:
        assert read(write(one.phrase)) == one.phrase
        assert one.phrase.note[-1] == f"Variation: {one.what}."
        assert one.phrase.title == DEMOS[title].title
        assert best_fingering(one.phrase, STANDARD).stops


def test_no_two_are_the_same():
    made = variations(read(CORNER))
    assert len({(one.phrase.notes, one.phrase.chords) for one in made}) >= 0.9 * len(made)
    for dimension in DIMENSIONS:
        own = [one.phrase.notes for one in variations(read(CORNER), (dimension,))]
        assert len(own) == len(set(own))


@pytest.mark.parametrize(
    "two", [("octave", "ending"), ("rhythm", "ending"), ("approach", "values"), ("mode", "start")]
)
def test_two_at_once_change_both_and_keep_the_harmony(two):
    phrase = read(CORNER)
    made = variations(phrase, two)
    assert made
    for one in made:
        assert tuple(change.dimension for change in one.changes) == two
        assert one.what.count("; ") == 1
        if two[1] != "values":
            check_harmony(one.phrase, phrase)
    assert len(made[0].phrase.note) == len(phrase.note) + 1


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (("start", "octave", "mode"), "two different ones at most"),
        (("start", "start"), "two different ones at most"),
        (("colour",), "colour cannot be varied: choose start, rhythm"),
    ],
)
def test_what_cannot_be_asked_for(wrong, sentence):
    with pytest.raises(RequestError, match=sentence):
        variations(read(CORNER), wrong)


def test_silence_cannot_be_varied():
    assert variations(read("Chords: C7\nMelody: w r")) == ()


def test_a_phrase_without_chords_is_varied_in_its_key():
    made = variations(read("Key: C\nMelody: e C4 E4 G4 A4 q G4 E4"))
    assert {one.changes[0].dimension for one in made} >= {"start", "rhythm", "octave"}
    assert "mode" not in {one.changes[0].dimension for one in made}


# ---- What each one says -------------------------------------------------------------------------


def words(dimension, text=CORNER):
    return [one.what for one in variations(read(text), (dimension,))]


def test_a_start_that_would_put_a_wrong_note_on_a_strong_beat_is_left_out():
    """E C F E over C: a half later F would be on the first beat of the second bar."""
    told = words("start", "Key: C\nChords: C | C\nMelody: q E4 C4 F4 E4 | w C4")
    assert "starts a half later" not in told
    assert "starts a quarter later" in told


def test_minor_of_a_major_cadence():
    (made,) = variations(read(CORNER), ("mode",))
    assert made.what == "over Dm7b5 G7b9 Cm6"
    assert str(made.phrase.key) == "C minor"
    assert " ".join(str(note.pitch) for note in made.phrase.notes) == (
        "C4 D4 F4 Ab4 C5 Bb4 Ab4 G4 B4 D5 F5 Eb5 D5 C5 B4 C5 G4 Eb4"
    )


@pytest.mark.parametrize(
    ("chord", "third", "told"),
    [
        ("Fmaj7", "3", ["over Fm6", "over Fm7b5"]),
        ("F7", "3", ["over Fm7", "over Fm7b5"]),
        ("Fm7", "b3", ["over Fm7b5"]),
        ("Fm7b5", "b3", []),
        ("Fdim7", "b3", []),
    ],
)
def test_one_chord_in_another_mode(chord, third, told):
    text = f"Chords: {chord}\nMelody: q 1 {third} h 1"
    if third == "3":
        assert words("mode", text) == told
    else:  # the thirds are alike, so the fifth must tell
        fifth = "b5" if chord != "Fm7" else "5"
        assert words("mode", text.replace("h 1", f"h {fifth}")) == told


def test_a_key_without_a_signature_gets_its_customary_name():
    text = "Key: Db major\nChords: Ebm7 Ab7 | Dbmaj7\nMelody: q Eb4 Gb4 Ab4 C5 | w Db5"
    (made,) = variations(read(text), ("mode",))
    assert str(made.phrase.key) == "C# minor"
    assert [str(note.pitch) for note in made.phrase.notes][-1] == "C#5"


def test_values_change_with_their_chords():
    text = (
        "Chords: Dm7 | G7 | C\nMelody: e D4 F4 A4 C5 A4 F4 D4 C4 | B3 D4 F4 D4 G4 F4 D4 B3 | w C4"
    )
    double, half = (one.phrase for one in variations(read(text), ("values",)))
    assert (double.bars, half.bars) == (6, 2)
    assert [str(one.length) for one in half.chords] == ["2", "2", "4"]
    assert [str(one.chord.root) for one in double.chords] == ["D", "D", "G", "G", "C", "C"]


def test_an_ending_is_named_by_its_degree():
    assert "ends on C4, the root" in words("ending")


def test_the_order_of_notes_turns_within_the_chord():
    told = words("order", "Chords: C7\nMelody: q C4 E4 G4 Bb4")
    assert "the notes backwards" in told


def test_a_chord_is_named_where_its_notes_are_in_another_order():
    assert "the notes backwards over G7 in bar 2" in words("order")


def test_a_beat_of_three_is_not_cut_in_two():
    """In twelve-eight no group of two or of four eighths is put into another rhythm."""
    made = variations(DEMOS["Slow Puddle"], ("rhythm",))
    assert made
    assert all("three eighths" in one.what for one in made)


def test_an_approach_note_takes_the_end_of_a_longer_note():
    one = next(v for v in variations(read(CORNER), ("approach",)) if "F#4 added" in v.what)
    assert one.what == "F#4 added, which leads to G4 in bar 2"
    lengths = [str(note.length) for note in one.phrase.notes if note.start in (3, 3.5)]
    assert lengths == ["1/2", "1/2"]


def test_no_variation_leaps_wider_than_its_phrase_or_an_octave():
    phrase = replace(read(CORNER))
    for one in variations(phrase):
        assert all(abs(b - a) <= 12 for a, b in pairwise(midis(one.phrase)))


@settings(max_examples=10, deadline=None)
@given(phrases())
def test_any_phrase_can_be_varied(phrase):
    for dimension in DIMENSIONS:
        for one in variations(phrase, (dimension,))[:3]:
            assert read(write(one.phrase)) == one.phrase


# ---- The verifier itself can fail ---------------------------------------------------------------


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_a_variation_that_did_something_else_is_noticed(dimension):
    phrase = read(CORNER)
    made = variations(phrase, (dimension,))[0]
    with pytest.raises(AssertionError):
        check(replace(made, phrase=phrase), phrase)
    higher = tuple(
        replace(note, pitch=note.pitch and Pitch(note.pitch.name, note.pitch.octave + 2))
        for note in made.phrase.notes
    )
    with pytest.raises(AssertionError):
        check(replace(made, phrase=replace(made.phrase, notes=higher)), phrase)


def test_a_wrong_note_on_a_strong_beat_is_noticed():
    phrase = read(CORNER)
    wrong = read(CORNER.replace("e D4 F4 A4", "e D#4 F4 A4"))
    check_harmony(phrase, phrase)
    with pytest.raises(AssertionError):
        check_harmony(wrong, phrase)
