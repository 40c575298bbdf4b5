"""Chord symbols as printed: real signs, nothing of the keyboard left."""

from fractions import Fraction

import pytest

from chartkit.notate.sheet import ChordSymbol
from chartkit.notate.symbols import quality_text, symbol_text
from chartkit.theory.symbol import read_symbol


def printed(text, **brackets):
    return symbol_text(ChordSymbol(Fraction(0), read_symbol(text).chord, **brackets))


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("Bbmaj7", "B♭maj7"),
        ("F#m7b5", "F♯m7♭5"),
        ("Ab7(b9,b13)", "A♭7(♭9,♭13)"),
        ("Db7#11", "D♭7♯11"),
        ("C6/9", "C6/9"),
        ("Bo7", "B°7"),
        ("Eb7/Bb", "E♭7/B♭"),
        ("C6/9/E", "C6/9/E"),
        ("C7sus(b9)", "C7sus(♭9)"),
        ("Calt", "C7alt"),
        ("Bbdim", "B♭°"),
    ],
)
def test_a_symbol_has_real_signs(typed, expected):
    assert printed(typed) == expected


def test_no_chord_and_brackets():
    assert symbol_text(ChordSymbol(Fraction(0), None)) == "N.C."
    assert printed("G7", opens=True) == "(G7"
    assert printed("C7/E", closes=True) == "C7/E)"
    assert printed("D7", opens=True, closes=True) == "(D7)"


def test_the_quality_stands_between_root_and_bass():
    assert quality_text(read_symbol("F#m7b5/C").chord) == "m7♭5"
    assert quality_text(read_symbol("Bb").chord) == ""
