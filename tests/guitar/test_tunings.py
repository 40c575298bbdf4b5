"""Tunings; open strings are common practice, no source."""

import pytest

from chartkit.errors import RequestError
from chartkit.guitar.fretboard import STANDARD, compass, pitch_at, places
from chartkit.guitar.tunings import TUNINGS, read_tuning, with_capo
from chartkit.theory.pitch import Pitch


@pytest.mark.parametrize(
    ("name", "notes"),
    [
        ("standard", "E2 A2 D3 G3 B3 E4"),
        ("drop D", "D2 A2 D3 G3 B3 E4"),
        ("seven-string", "B1 E2 A2 D3 G3 B3 E4"),
        ("bass", "E1 A1 D2 G2"),
        ("ukulele", "G4 C4 E4 A4"),
    ],
)
def test_every_name_is_its_notes(name, notes):
    assert [Pitch.parse(note).midi for note in notes.split()] == [*TUNINGS[name].open_strings]
    assert read_tuning(name) == TUNINGS[name]
    assert read_tuning(notes).open_strings == TUNINGS[name].open_strings


def test_the_ukulele_is_re_entrant():
    ukulele = TUNINGS["ukulele"]
    assert compass(ukulele) == (60, 84)
    assert pitch_at(ukulele, 4, 0) == 67 > pitch_at(ukulele, 3, 0)
    assert places(ukulele, 67) == ((2, 3), (3, 7), (4, 0))


def test_a_capo_raises_the_strings_and_shortens_the_neck():
    second = with_capo(STANDARD, 2)
    assert second.open_strings == tuple(note + 2 for note in STANDARD.open_strings)
    assert (second.frets, second.capo) == (20, 2)
    assert compass(second) == (42, 86)
    assert with_capo(STANDARD, 0) == STANDARD


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("open sesame", "is not a tuning; choose standard, drop D"),
        ("E2 A2", "3 to 12 strings"),
        ("E2 A2 D9", "outside the MIDI notes"),
        ("", "3 to 12 strings"),
    ],
)
def test_what_is_no_tuning(text, told):
    with pytest.raises(RequestError, match=told):
        read_tuning(text)


@pytest.mark.parametrize("fret", [-1, 19])
def test_a_capo_leaves_room_for_the_hand(fret):
    with pytest.raises(RequestError, match="1 to 18"):
        with_capo(STANDARD, fret)
