"""What a chord tells of itself."""

import pytest

from chartkit.theory.symbol import read_symbol


def chord(text):
    return read_symbol(text).chord


def shown(degree):
    return str(degree) if degree else "-"


# Common practice, no source: what stands for the third, the fifth and the seventh.
@pytest.mark.parametrize(
    ("symbol", "third", "fifth", "seventh", "essential"),
    [
        ("C", "3", "5", "-", "1 3 5"),
        ("Cm7", "b3", "5", "b7", "1 b3 5 b7"),
        ("C6", "3", "5", "6", "1 3 5 6"),
        ("Cm69", "b3", "5", "6", "1 b3 5 6"),
        ("C13#11", "3", "5", "b7", "1 3 5 b7"),
        ("C7b13", "3", "5", "b7", "1 3 5 b7"),
        ("C7#5#9", "3", "#5", "b7", "1 3 #5 b7"),
        ("Cm7b5", "b3", "b5", "b7", "1 b3 b5 b7"),
        ("Co7", "b3", "b5", "bb7", "1 b3 b5 bb7"),
        ("C7alt", "3", "-", "b7", "1 3 b7 b13"),
        ("Csus", "4", "5", "-", "1 4 5"),
        ("C9sus", "4", "5", "b7", "1 4 5 b7"),
        ("Csus2", "2", "5", "-", "1 2 5"),
        ("C69sus", "4", "5", "6", "1 4 5 6"),
        ("C5", "-", "5", "-", "1 5"),
    ],
)
def test_the_tones_that_make_the_chord(symbol, third, fifth, seventh, essential):
    one = chord(symbol)
    assert (shown(one.third), shown(one.fifth), shown(one.seventh)) == (third, fifth, seventh)
    assert " ".join(map(str, one.essential)) == essential


def test_a_slash_bass_is_lowest_but_no_chord_tone():
    assert str(chord("C/Bb").lowest) == "Bb"
    assert str(chord("C").lowest) == "C"
    assert chord("C/Bb").pitch_classes == frozenset({0, 4, 7})
    assert " ".join(map(str, chord("C/Bb").tones)) == "C E G"
