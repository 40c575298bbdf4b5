"""Instruments against an independent library's table."""

import doctest
from dataclasses import replace

import pytest
from music21 import instrument as library

import chartkit.instrument
from chartkit.errors import RequestError
from chartkit.guitar.tunings import TUNINGS, with_capo
from chartkit.instrument import GUITAR, INSTRUMENTS, instrument_words, left_handed, restrung

# music21's own instruments: their transposition (written above sound) and lowest written note.
OUTSIDE = {
    "flute": library.Flute(),
    "clarinet": library.Clarinet(),
    "trumpet": library.Trumpet(),
    "alto saxophone": library.AltoSaxophone(),
    "tenor saxophone": library.TenorSaxophone(),
    "baritone saxophone": library.BaritoneSaxophone(),
    "trombone": library.Trombone(),
    "violin": library.Violin(),
    "double bass": library.Contrabass(),
}


@pytest.mark.parametrize("name", OUTSIDE)
def test_transposition(name):
    outside = OUTSIDE[name].transposition
    assert INSTRUMENTS[name].transposition == (-outside.semitones if outside else 0)


@pytest.mark.parametrize("name", OUTSIDE)
def test_no_instrument_is_asked_below_its_lowest_note(name):
    row = INSTRUMENTS[name]
    assert row.low + row.transposition == OUTSIDE[name].lowestNote.midi


# General MIDI 1 sound set, counted from 0, where the library has no program or another playing.
PROGRAMS = {"double bass": 32, "piano": 0, "guitar": 26, "bass guitar": 33, "ukulele": 24}


@pytest.mark.parametrize("name", INSTRUMENTS)
def test_each_sounds_as_itself(name):
    plain = PROGRAMS.get(name.removeprefix("seven-string "))
    assert INSTRUMENTS[name].program == (OUTSIDE[name].midiProgram if plain is None else plain)


@pytest.mark.parametrize("row", INSTRUMENTS.values(), ids=lambda row: row.name)
def test_every_row_makes_sense(row):
    assert row.high - row.low >= 24
    assert row.transposition >= 0
    if row.tuning:
        assert row.low == min(row.tuning.open_strings)
        assert row.high == max(row.tuning.open_strings) + row.tuning.frets


def test_the_guitar_is_written_by_its_clef():
    assert (GUITAR.low, GUITAR.high, GUITAR.clef, GUITAR.transposition) == (40, 86, "treble 8", 0)


def test_what_a_page_tells_of_an_instrument():
    tuned = restrung(GUITAR, with_capo(TUNINGS["drop D"], 3))
    assert [*instrument_words(left_handed(tuned))] == ["drop D tuning", "capo 3"]
    bass = restrung(INSTRUMENTS["bass guitar"], TUNINGS["bass"])
    assert [*instrument_words(bass)] == ["bass guitar"]
    assert (bass.program, bass.transposition) == (33, 12)


def test_left_handed_only_the_neck_is_turned():
    turned = left_handed(GUITAR)
    assert turned.tuning.left_handed
    assert replace(turned, tuning=GUITAR.tuning) == GUITAR
    with pytest.raises(RequestError, match="the flute has no frets"):
        left_handed(INSTRUMENTS["flute"])


def test_the_examples_in_docstrings():
    assert doctest.testmod(chartkit.instrument).failed == 0
