"""Instruments against an independent library's table."""

import pytest
from music21 import instrument as library

from chartkit.instrument import GUITAR, INSTRUMENTS

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


@pytest.mark.parametrize("row", INSTRUMENTS.values(), ids=lambda row: row.name)
def test_every_row_makes_sense(row):
    assert row.high - row.low >= 24
    assert row.transposition >= 0
    if row.tuning:
        assert row.low == min(row.tuning.open_strings)
        assert row.high == max(row.tuning.open_strings) + row.tuning.frets


def test_the_guitar_is_written_by_its_clef():
    assert (GUITAR.low, GUITAR.high, GUITAR.clef, GUITAR.transposition) == (40, 86, "treble 8", 0)
