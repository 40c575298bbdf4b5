"""Finger patterns across the strings."""

from math import factorial

import pytest

from chartkit.errors import RequestError
from chartkit.instrument import GUITAR, INSTRUMENTS
from chartkit.technique.warmup import PATTERNS, warm_up


def stops(made):
    return [(stop.string, stop.fret, stop.finger) for stop in made.fingering.stops]


def test_every_order_of_four_fingers():
    assert len(set(PATTERNS)) == len(PATTERNS) == factorial(4)
    assert PATTERNS[0] == (1, 2, 3, 4)
    assert {frozenset(pattern) for pattern in PATTERNS} == {frozenset((1, 2, 3, 4))}


@pytest.mark.parametrize("pattern", PATTERNS)
def test_over_and_back_in_one_position(passages, pattern):
    made = warm_up([pattern], GUITAR, 5)
    (heard,) = passages(made)
    assert heard.label == "-".join(map(str, pattern))
    over = [(s, 4 + f, f) for s in (6, 5, 4, 3, 2, 1) for f in pattern]
    assert stops(made) == over + over[::-1]
    assert heard.chords == []


def test_travelling_up_the_neck(passages):
    made = warm_up([(1, 2, 3, 4)], GUITAR, 5, 7)
    passages(made)
    frets = [fret for _, fret, _ in stops(made)]
    assert [sorted(set(frets[n : n + 24])) for n in (0, 24, 48)] == [
        [5, 6, 7, 8],
        [6, 7, 8, 9],
        [7, 8, 9, 10],
    ]
    strings = [string for string, _, _ in stops(made)]
    assert strings[:24:4] == strings[48::4] == [6, 5, 4, 3, 2, 1] == strings[24:48:4][::-1]
    assert made.fingering.shifts == 2


def test_sharp_over_and_flat_back():
    names = [str(note.pitch.name) for note in warm_up([(1, 2, 3, 4)], GUITAR, 5).line.notes]
    assert not any("b" in name for name in names[:24])
    assert not any("#" in name for name in names[24:])


def test_every_fretted_instrument(passages):
    for row in INSTRUMENTS.values():
        if row.tuning:
            assert passages(warm_up(PATTERNS[:2], row, 2))


@pytest.mark.parametrize(
    ("row", "first", "last", "told"),
    [
        ("flute", 5, None, "need frets"),
        ("guitar", 30, None, "no position 30"),
        ("guitar", 5, 30, "no position 30"),
        ("guitar", 5, 5, "up the neck"),
        ("guitar", 5, 3, "up the neck"),
    ],
)
def test_what_makes_no_sense(row, first, last, told):
    with pytest.raises(RequestError, match=told):
        warm_up([(1, 2, 3, 4)], INSTRUMENTS[row], first, last)
