"""Note values: their letters, where they may stand, and lengths written in them."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from phrase_strategies import phrases

from chartkit.chart import Meter
from chartkit.phrase.values import (
    LETTERS,
    LETTERS_OF,
    VALUES,
    Heard,
    as_written,
    can_stand,
    heard,
    read_value,
)
from chartkit.theory.pitch import Pitch

C4 = Pitch.parse("C4")


def test_every_value_has_letters_and_a_length_of_its_own():
    assert len(set(VALUES.values())) == len(VALUES) == len(set(LETTERS.values()))
    assert {length: LETTERS[name] for name, length in VALUES.items()} == LETTERS_OF


@pytest.mark.parametrize("name", VALUES)
def test_values_are_read_as_letters_and_as_words(name):
    assert read_value(LETTERS[name]) == VALUES[name]
    assert read_value(name.upper()) == VALUES[name]
    assert read_value(f"{name}s" if name != "half" else "halves") == VALUES[name]


def test_lengths_by_the_trade():
    # Common practice: a dot adds half, a triplet is three in the time of two.
    assert VALUES["dotted quarter"] == VALUES["quarter"] + VALUES["eighth"]
    assert 3 * VALUES["triplet eighth"] == 2 * VALUES["eighth"]
    assert read_value("triplet") == Fraction(1, 3)


def written(start, length, meter=Meter(4)):  # noqa: B008 (a value)
    notes = as_written([Heard(Fraction(start), Fraction(length), C4)], meter)
    return " ".join(f"{LETTERS_OF[n.length]}{'_' if n.tie else ''}" for n in notes if n.pitch)


@pytest.mark.parametrize(
    ("start", "length", "letters"),
    [
        ("0", "4", "w"),
        ("0", "5/2", "h_ e"),
        ("1/2", "5/2", "q._ q"),
        ("3", "2", "q_ q"),
        ("7/2", "9", "e_ w_ w_ e"),
        ("0", "5/6", "e_ te"),
        ("2/3", "2/3", "tq"),
        ("1/3", "1", "tq_ te"),
        ("0", "7/8", None),
    ],
)
def test_a_length_is_written_in_values(start, length, letters):
    if letters is None:
        with pytest.raises(ValueError, match="cannot be written"):
            written(start, length)
    else:
        assert written(start, length) == letters


@settings(max_examples=80, deadline=None, derandomize=True)
@given(phrases())
def test_what_is_heard_can_be_written_again(phrase):
    sounding = heard(phrase.notes)
    notes = as_written(sounding, phrase.meter, phrase.length)
    assert heard(notes) == sounding
    bar = phrase.meter.length
    for note in notes:
        assert note.length in LETTERS_OF
        assert can_stand(note.start % bar, note.length)
        assert note.start % bar + note.length <= bar


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.lists(st.integers(1, 12), min_size=1, max_size=8))
def test_gaps_become_rests(steps):
    tones, at = [], Fraction(0)
    for step in steps:
        tones.append(Heard(at, Fraction(step, 4), C4))
        at += Fraction(step, 4) + Fraction(1, 2)
    notes = as_written(tones, Meter(3))
    assert sum(note.length for note in notes) % 3 == 0
    assert [one for one in heard(notes) if one.pitch] == tones
