import pytest

from chartkit.errors import CannotPlay
from chartkit.exercise.terms import Terms
from chartkit.exercise.tones import ROLES, chord_tones, line_tones, note_words
from chartkit.theory.symbol import read_symbol


def tones(symbol, low=48, high=59):
    return [
        (str(t.pitch), t.role) for t in chord_tones(read_symbol(symbol).chord, low=low, high=high)
    ]


def test_tones_are_spelled_by_their_degrees():
    # Spelling by degree: Cdim7 = C Eb Gb Bbb, Gb7 = Gb Bb Db Fb; pychord 1.4.1 agrees.
    assert tones("Cdim7") == [
        ("C3", "root"),
        ("Eb3", "third"),
        ("Gb3", "fifth"),
        ("Bbb3", "seventh"),
    ]
    assert tones("Gb7", 54, 65) == [
        ("Gb3", "root"),
        ("Bb3", "third"),
        ("Db4", "fifth"),
        ("Fb4", "seventh"),
    ]


def test_tensions_and_the_slash_bass_are_left_out():
    assert tones("C13(#11)/F#") == tones("C7")


@pytest.mark.parametrize(
    ("symbol", "roles"),
    [
        ("C6", "root third fifth sixth"),
        ("C7sus", "root fourth fifth seventh"),
        ("Csus2", "root second fifth"),
        ("C5", "root fifth"),
        ("C7alt", "root third thirteenth seventh"),
    ],
)
def test_roles(symbol, roles):
    assert [role for _, role in tones(symbol)] == roles.split()
    assert set(roles.split()) <= set(ROLES.values())


def test_both_ends_are_in_the_range():
    assert [name for name, _ in tones("C", 48, 60)] == ["C3", "E3", "G3", "C4"]
    assert tones("C", 49, 51) == []


def test_a_line_takes_two_tones_at_least(changes):
    (span,) = changes("C")
    assert len(line_tones(span, span.chord, span.chord.essential, Terms(52, 55))) == 2
    with pytest.raises(CannotPlay, match=r"bar 1: C has fewer than two chord .* from E3 to Gb3"):
        line_tones(span, span.chord, span.chord.essential, Terms(52, 54))


def test_plain_names():
    # MIDI 60 is middle C, C4; 69 is A4 [ISO 16 pitch, MIDI 1.0 numbering].
    assert [note_words(midi) for midi in (60, 69, 58, 66)] == ["C4", "A4", "Bb3", "Gb4"]
