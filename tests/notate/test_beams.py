"""Beams, written out as a player sees them: joined notes stand together.

Source: Gould, Behind Bars (2011), "Beaming", from memory.
"""

from fractions import Fraction

import pytest

from chartkit.chart import Meter
from chartkit.notate.beams import beamed
from chartkit.notate.rhythm import written_value
from chartkit.notate.sheet import Event, NoteValue
from chartkit.theory.pitch import Pitch

LETTERS = {
    "q": Fraction(1),
    "e": Fraction(1, 2),
    "s": Fraction(1, 4),
    "h": Fraction(2),
    "d": Fraction(3, 4),
    "Q": Fraction(3, 2),
}


def events(text):
    """Read ``e e q r``: values, ``r`` before one for a rest, ``t`` before one for a triplet."""
    start, found = Fraction(0), []
    for word in text.split():
        value = written_value(LETTERS[word[-1]])
        if word[0] == "t":
            value = NoteValue(value.base, value.dots, (3, 2))
        kind = "rest" if word[0] == "r" else "note"
        found.append(Event(start, value, kind, pitch=Pitch.parse("C4")))
        start += value.length
    return tuple(found)


def joined(found):
    """Write eighth beams as brackets: ``[ee] q``."""
    signs = {"begin": "[{}", "continue": "{}", "end": "{}]", "": "{}"}
    letters = {length: letter for letter, length in LETTERS.items()}
    return " ".join(
        signs[e.beams[0] if e.beams else ""].format(
            letters[e.value.base * (2 - Fraction(1, 2**e.value.dots))]
        )
        for e in found
    )


@pytest.mark.parametrize(
    ("meter", "notes", "written"),
    [
        (Meter(4), "e e e e e e e e", "[e e e e] [e e e e]"),
        (Meter(4), "q e e e e q", "q [e e] [e e] q"),
        (Meter(4), "e q e e e e e", "e q e [e e e e]"),
        (Meter(4), "e e re e q q", "[e e] e e q q"),
        (Meter(4), "s s e e e h", "[s s e] [e e] h"),
        (Meter(4), "te te te te te te h", "[e e e] [e e e] h"),
        (Meter(3), "e e e e e e", "[e e e e e e]"),
        (Meter(4, Fraction(3, 2)), "e e e e e e Q Q", "[e e e] [e e e] Q Q"),
        (Meter(2, Fraction(2)), "e e e e e e e e", "[e e e e] [e e e e]"),
        (Meter(5), "e e e e e e e e e e", "[e e e e e e] [e e e e]"),
    ],
)
def test_eighths_are_beamed_by_the_meter(meter, notes, written):
    assert joined(beamed(events(notes), meter, Fraction(0))) == written


def test_a_pickup_is_beamed_where_it_stands_in_a_full_measure():
    found = beamed(events("e e e"), Meter(4), Fraction(5, 2))
    assert joined(found) == "[e e e]"
    assert joined(beamed(events("e e e"), Meter(4), Fraction(3, 2))) == "e [e e]"


def test_shorter_notes_have_beams_of_their_own():
    found = beamed(events("s s e d s"), Meter(2), Fraction(0))
    assert [e.beams for e in found] == [
        ("begin", "begin"),
        ("continue", "end"),
        ("end",),
        ("begin",),
        ("end", "backward hook"),
    ]


def test_a_lone_short_note_keeps_its_flag():
    assert all(not e.beams for e in beamed(events("e q e q q"), Meter(4), Fraction(0)))
