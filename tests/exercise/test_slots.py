from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.chart import Meter
from chartkit.errors import CannotPlay
from chartkit.exercise.slots import by_chord, even, on_beats, one_each, resting
from chartkit.line import LineNote
from chartkit.theory.pitch import Pitch

drawn = settings(derandomize=True, max_examples=200, deadline=None)

EIGHTH = Fraction(1, 2)


def lasting(span, length):
    return replace(span, length=length)


@drawn
@given(st.integers(1, 48), st.sampled_from([Fraction(1, n) for n in (1, 2, 3, 4, 6)]))
def test_even_notes_fill_a_span(changes, count, value):
    span = lasting(changes("C | F")[1], count * value)
    slots = even([span], value)
    assert len(slots) == count
    assert slots[0].start == span.start
    assert slots[-1].end == span.start + count * value
    assert all(last.end == slot.start for last, slot in pairwise(slots))


@pytest.mark.parametrize(
    ("length", "value", "sentence"),
    [
        (Fraction(1), Fraction(2), "bar 1: a chord of 1 quarter note is not .* of 2 quarter notes"),
        (Fraction(3, 2), Fraction(1), "a chord of 1 1/2 quarter notes .* notes of 1 quarter note;"),
        (Fraction(4), Fraction(3, 8), "notes of 3/8 quarter note; choose another note value"),
    ],
)
@pytest.mark.parametrize("slots", [even, lambda spans, value: on_beats(spans, value, 2)])
def test_notes_that_do_not_fill_it(changes, slots, length, value, sentence):
    with pytest.raises(CannotPlay, match=sentence):
        slots([lasting(changes("C")[0], length)], value)


DOTTED = Meter(4, Fraction(3, 2))


@pytest.mark.parametrize(
    ("text", "meter", "room", "starts"),
    [
        ("C", Meter(4), (EIGHTH, 2), [0, 1, 2, 3]),
        ("C", Meter(4), (EIGHTH, 3), [0, 2]),
        ("C", Meter(4), (Fraction(1, 3), 3), [0, 1, 2, 3]),
        ("C", Meter(4), (Fraction(1), 2), [0, 2]),
        ("C", Meter(3), (Fraction(1), 2), [0]),
        ("C", Meter(5), (EIGHTH, 3), [0, 2]),
        ("C F", Meter(4), (Fraction(1), 3), [0, 2]),
        ("C | N.C. | F", Meter(2), (EIGHTH, 2), [0, 1, 4, 5]),
        ("C", DOTTED, (EIGHTH, 2), [0, Fraction(3, 2), 3, Fraction(9, 2)]),
        # A dotted quarter is no whole number of quarters; two of them are three.
        ("C", DOTTED, (Fraction(1), 2), [0, 3]),
        # Nor is it a whole number of triplet eighths.
        ("C", DOTTED, (Fraction(1, 3), 2), [0, 3]),
    ],
)
def test_slots_on_beats(changes, text, meter, room, starts):
    slots = on_beats(changes(text, meter), *room)
    assert [slot.start for slot in slots] == starts
    ends = {span.start + span.length for span in changes(text, meter)}
    assert {slot.end for slot in slots} <= {*starts, *ends}


def test_one_slot_a_chord(changes):
    slots = one_each(changes("C F | N.C. | G"))
    assert [(slot.start, slot.length) for slot in slots] == [(0, 2), (2, 2), (8, 4)]


def test_slots_of_a_chord_together(changes):
    slots = even(changes("C | C F | N.C. | F | N.C."), Fraction(2))
    starts = [[slot.start for slot in group] for group in by_chord(slots)]
    # C goes on over the bar line; F starts again after the rest.
    assert starts == [[0, 2, 4], [6], [12, 14]]


def test_rests_wherever_nothing_sounds(changes):
    pitch = Pitch.parse("C4")
    notes = [LineNote(Fraction(1), Fraction(2), pitch), LineNote(Fraction(5), Fraction(1), pitch)]
    line = resting(notes, changes("C | N.C. G"))
    told = [(note.start, note.length, note.pitch is None) for note in line.notes]
    assert told == [
        (0, 1, True),
        (1, 2, False),
        (3, 1, True),
        (4, 1, True),
        (5, 1, False),
        (6, 2, True),
    ]
