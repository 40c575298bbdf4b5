"""Notes and degrees, against music21's spelling."""

import doctest

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import chartkit.theory.pitch
from chartkit.theory.pitch import LETTERS, Degree, NoteName, Pitch, degrees

many = settings(derandomize=True, max_examples=200, deadline=None)
names = st.builds(NoteName, st.sampled_from(LETTERS), st.integers(-2, 2))


def test_examples_in_the_docstrings():
    assert doctest.testmod(chartkit.theory.pitch).failed == 0


@many
@given(names)
def test_a_name_is_read_as_it_is_written(name):
    assert NoteName.parse(str(name)) == name


@many
@given(names, st.integers(-1, 9))
def test_a_pitch_is_read_as_it_is_written_and_found_again_by_its_number(name, octave):
    pitch = Pitch(name, octave)
    assert Pitch.parse(str(pitch)) == pitch
    assert Pitch.at(name, pitch.midi) == pitch


@many
@given(names, st.integers(-1, 9))
def test_a_pitch_sounds_as_elsewhere(name, octave):
    from music21 import pitch

    other = pitch.Pitch(str(name).replace("b", "-"), octave=octave)
    assert Pitch(name, octave).midi == other.ps


@many
@given(st.integers(1, 14), st.integers(-2, 2))
def test_a_degree_is_read_as_it_is_written(number, alter):
    assert Degree.parse(str(Degree(number, alter))) == Degree(number, alter)


@many
@given(names, st.integers(1, 14), st.integers(-1, 1))
def test_a_degree_above_a_note_has_its_letter_and_its_distance(name, number, alter):
    degree = Degree(number, alter)
    above = name.up(degree)
    assert (LETTERS.index(above.letter) - LETTERS.index(name.letter) - number + 1) % 7 == 0
    assert (above.pitch_class - name.pitch_class - degree.semitones) % 12 == 0


@many
@given(names)
def test_the_plain_name_sounds_the_same_with_one_accidental_at_most(name):
    plain = name.plain
    assert plain.pitch_class == name.pitch_class
    assert abs(plain.alter) <= 1
    assert str(plain) not in {"Cb", "Fb", "E#", "B#"}
    assert plain.alter * name.alter >= 0


@pytest.mark.parametrize("text", ["", "H", "c", "C###", "Cb#", "C4"])
def test_no_note_name(text):
    with pytest.raises(ValueError, match="is not a note name"):
        NoteName.parse(text)


@pytest.mark.parametrize("text", ["", "C", "4", "Cx4", "C 4"])
def test_no_pitch(text):
    with pytest.raises(ValueError, match="is not a note with its octave"):
        Pitch.parse(text)


@pytest.mark.parametrize("text", ["", "b", "0", "x9", "#b5", "101"])
def test_no_degree(text):
    with pytest.raises(ValueError, match="is not a degree"):
        Degree.parse(text)


def test_a_name_that_does_not_sound_there():
    with pytest.raises(ValueError, match="MIDI note 61 cannot be written as C"):
        Pitch.at(NoteName("C"), 61)


def test_a_row_of_degrees():
    assert degrees("1 b3 #11") == (Degree(1), Degree(3, -1), Degree(11, 1))
