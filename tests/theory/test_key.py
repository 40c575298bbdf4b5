"""Keys, against music21's signatures."""

from itertools import product

import pytest

from chartkit.theory.key import WRITTEN, Key
from chartkit.theory.pitch import NoteName

KEYS = [Key.written(pitch_class, mode) for mode in WRITTEN for pitch_class in range(12)]


@pytest.mark.parametrize("key", KEYS, ids=str)
def test_a_written_key_has_the_signature_of_the_handbooks(key):
    from music21 import key as other

    tonic = str(key.tonic).replace("b", "-")
    assert key.fifths == other.Key(tonic, key.mode).sharps


@pytest.mark.parametrize("mode", list(WRITTEN))
def test_a_written_key_stands_on_its_pitch_class(mode):
    assert [Key.written(n, mode).tonic.pitch_class for n in range(-12, 12)] == [*range(12)] * 2


def test_no_written_key_has_more_than_six_accidentals():
    # Six flats or sharps at most: so the list of names says.
    assert max(abs(key.fifths) for key in KEYS) == 6


def test_a_key_is_written_out():
    assert str(Key(NoteName("F", 1), "minor")) == "F# minor"


def test_a_key_without_a_signature_takes_its_customary_name():
    for tonic, mode in product(
        [f"{letter}{sign}" for letter in "CDEFGAB" for sign in ("", "#", "b")], WRITTEN
    ):
        key = Key(NoteName.parse(tonic), mode)
        found = key.customary
        assert abs(found.fifths) <= 7  # a signature has one sign a letter at most
        assert found.tonic.pitch_class == key.tonic.pitch_class
        assert found == key or abs(key.fifths) > 7
    assert str(Key(NoteName.parse("Gb"), "minor").customary) == "F# minor"
