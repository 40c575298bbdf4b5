from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.errors import CannotPlay
from chartkit.exercise.onsets import onsets


@settings(derandomize=True, max_examples=200, deadline=None)
@given(st.integers(1, 48), st.sampled_from([Fraction(1, n) for n in (1, 2, 3, 4, 6)]))
def test_even_notes_fill_a_span(changes, count, value):
    span = changes("C | F")[1]
    fitting = onsets(_lasting(span, count * value), value)
    assert len(fitting) == count
    assert fitting[0] == span.start
    assert fitting[-1] + value == span.start + count * value


def _lasting(span, length):
    return replace(span, length=length)


@pytest.mark.parametrize(
    ("length", "value", "sentence"),
    [
        (Fraction(1), Fraction(2), "bar 1: a chord of 1 quarter note is not .* of 2 quarter notes"),
        (Fraction(3, 2), Fraction(1), "a chord of 1 1/2 quarter notes .* notes of 1 quarter note;"),
        (Fraction(4), Fraction(3, 8), "notes of 3/8 quarter note; choose another note value"),
    ],
)
def test_notes_that_do_not_fill_it(changes, length, value, sentence):
    with pytest.raises(CannotPlay, match=sentence):
        onsets(_lasting(changes("C")[0], length), value)
