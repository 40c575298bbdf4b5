"""Lines as transposing instruments read them."""

from fractions import Fraction

import pytest

from chartkit.chart import Meter
from chartkit.form import BarId
from chartkit.harmony import Span
from chartkit.line import Line, LineNote
from chartkit.notate.written import written
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName, Pitch
from chartkit.theory.symbol import read_symbol, write_symbol


def line(key, symbol, *pitches):
    notes = tuple(
        LineNote(Fraction(n), Fraction(1), None if p == "r" else Pitch.parse(p))
        for n, p in enumerate(pitches)
    )
    span = Span(
        Fraction(0),
        Fraction(len(pitches)),
        read_symbol(symbol).chord,
        None,
        None,
        Key(NoteName.parse(key)),
        BarId("A", 0, 1),
        Fraction(0),
        Meter(4),
        "swing",
    )
    return Line(notes, (span,))


@pytest.mark.parametrize(
    ("semitones", "key", "symbol", "expected"),
    [
        (0, "Bb", "Bb7/D", "Bb3 r D4 Ab4"),
        (2, "C", "C7/E", "C4 r E4 Bb4"),
        (9, "G", "G7/B", "G4 r B4 F5"),
        (14, "C", "C7/E", "C5 r E5 Bb5"),
        (21, "G", "G7/B", "G5 r B5 F6"),
        (12, "Bb", "Bb7/D", "Bb4 r D5 Ab5"),
        (3, "Db", "Db7/F", "Db4 r F4 B4"),  # C flat is respelled
    ],
)
def test_a_line_moves_with_its_key_and_its_chords(semitones, key, symbol, expected):
    moved = written(line("Bb", "Bb7/D", "Bb3", "r", "D4", "Ab4"), semitones)
    (span,) = moved.spans
    assert str(span.key.tonic) == key
    assert write_symbol(span.chord) == symbol
    assert [str(note.pitch) if note.pitch else "r" for note in moved.notes] == expected.split()
