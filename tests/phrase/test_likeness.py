"""How alike two phrases are."""

from importlib.resources import files
from itertools import combinations, product

import pytest

from chartkit.phrase.likeness import ALIKE, are_alike, likeness
from chartkit.phrase.reader import parse
from chartkit.phrase.transpose import transpose_phrase
from chartkit.phrase.variation import variations
from chartkit.theory.key import Key

DEMOS = [
    parse(one.read_text(encoding="utf-8"), one.name).phrase
    for one in sorted(files("chartkit.phrases").iterdir(), key=lambda one: one.name)
    if one.name.endswith(".phrase")
]


def read(text):
    return parse(text, "mine").phrase


@pytest.mark.parametrize("phrase", DEMOS[::5], ids=lambda one: one.title)
def test_a_phrase_is_like_itself_in_every_key(phrase):
    keys = [Key.written(tonic, "major") for tonic in range(12)]
    assert all(likeness(phrase, transpose_phrase(phrase, key)) == 1 for key in keys)


@pytest.mark.parametrize("dimension", ["start", "rhythm", "values", "octave", "ending"])
def test_a_phrase_is_like_its_variations(dimension):
    for phrase in DEMOS[::6]:
        for one in variations(phrase, (dimension,)):
            assert are_alike(phrase, one.phrase)


def test_it_is_the_same_both_ways_and_within_bounds():
    for one, other in product(DEMOS[::2], DEMOS[::3]):
        assert 0 <= likeness(one, other) == likeness(other, one) <= 1


def test_most_of_the_demos_differ():
    pairs = [*combinations(DEMOS, 2)]
    assert sum(are_alike(*pair) for pair in pairs) <= len(pairs) / 20


@pytest.mark.parametrize(
    ("one", "other", "share"),
    [
        ("q C4 E4 G4 Bb4", "q C4 E4 G4 A4", 3 / 4),
        ("q C4 E4 G4 Bb4", "h C4 q E4 e G4 Bb4", 1),
        ("q C4 E4 G4 Bb4", "q C4 E4 h G4", 3 / 4),
        ("q C4 E4 G4 Bb4", "w r", 0),
        ("w r", "w r", 0),
    ],
)
def test_counted_by_hand(one, other, share):
    assert likeness(*(read(f"Chords: C7\nMelody: {text}") for text in (one, other))) == share


def test_the_limit_lies_between_the_same_and_the_different():
    assert 0.5 < ALIKE < 0.8
