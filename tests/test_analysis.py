"""The key estimate, on progressions of our own whose key no player would doubt."""

from dataclasses import replace
from fractions import Fraction
from importlib import resources

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.analysis import estimate_key
from chartkit.form import key_of
from chartkit.reader import read
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import read_symbol
from chartkit.transpose import transpose_chord

many = settings(derandomize=True, max_examples=100, deadline=None)

# Common practice, no source: bars in 4/4, equally shared.
IN_C = [
    "C | F | G | C",
    "C | Am | F | G",
    "Cmaj7 | Am7 | Dm7 | G7",
    "Dm7 | G7 | Cmaj7 | Cmaj7",
    "C6 | C6 | D7 | D7 | Dm7 | G7 | C6 | G7",
    "Em7 | A7 | Dm7 | G7 | C | C7 | F | Fm6 | C | A7 | Dm7 | G7",
    "Cmaj7 | Bm7b5 E7 | Am7 D7 | Gm7 C7 | Fmaj7 | Fm7 Bb7 | Em7 A7 | Dm7 G7",
    "Fmaj7 | Fm7 Bb7 | Cmaj7 | Cmaj7 | Dm7 | G7 | Cmaj7 | Cmaj7",
    "C69|C69|Ebo7|Ebo7|Dm9|Dm9|G9sus|G7b9|Cmaj9|Cmaj9|F#m7b5|B7b9|Emaj9|Emaj9|Dm9|G7b9",
    "Em7 A7b9 | Dm7 G7 | Em7 A7b9 | Dm7 Db9#11 | C69",
    "C7 | F9 | C7 | Gm7 C7 | F9 | F#o7 | C7/G | Em7b5 A7#9 | Dm7 | G9 | C7 F7 | C7/G G7#9",
    "C7 | F7 | C7 | C7 | F7 | F#o7 | C7 | A7 | Dm7 | G7 | C7 | G7",
    "C7 | C7 | C7 | C7 | F7 | F7 | C7 | C7 | G7 | F7 | C7 | C7",
    "C7 | F7 | C7 | Gm7 C7 | F7 | F7 | C7 | A7b9 | Dm7 | G7 | C7 A7 | Dm7 G7",
]
IN_C_MINOR = [
    "Cm | Cm | Fm | Cm | Ab7 | G7 | Cm | G7",
    "Cm | Cm/Bb | Ab | G7",
    "Cm7 | Fm7 | Dm7b5 | G7",
    "Cm7 | Cm7 | Cm7 | Cm7",
    "Cm7 | Cm7 | Dbmaj7 | Dbmaj7 | Cm7 | Cm7 | Dm7b5 G7 | Cm7",
    "Cm7 | Fm7 | Bb7 | Ebmaj7 | Abmaj7 | Dm7b5 | G7 | Cm6",
    "Fm7 | Fm7 | Cm7 | Cm7 | Dm7b5 | G7alt | Cm7 | G7",
    "Fm7 | Bb7 | Ebmaj7 | Abmaj7 | Dm7b5 | G7 | Cm | Cm",
    "Cm6 | Cm6 | Fm6 | Cm6 | D7b5 | G7#5 | Cm6 | Dm7b5 G7",
]
TUNES = [
    *((text, Key(NoteName("C"))) for text in IN_C),
    *((text, Key(NoteName("C"), "minor")) for text in IN_C_MINOR),
]

DEMOS = [
    read(str(path))
    for path in resources.files("chartkit.charts").iterdir()
    if path.suffix == ".chart"
]


def changes(text):
    """Return chords and lengths of bars such as ``Dm7 G7 | C``."""
    cells = [cell.split() for cell in text.split("|")]
    return [
        (read_symbol(symbol).chord, Fraction(4, len(cell))) for cell in cells for symbol in cell
    ]


def moved(played, home, goal):
    return [(transpose_chord(chord, home, goal), length) for chord, length in played]


@pytest.mark.parametrize(("text", "home"), TUNES)
def test_the_key_is_found_in_all_twelve(text, home):
    goals = [Key.written(pitch_class, home.mode) for pitch_class in range(12)]
    found = [estimate_key(moved(changes(text), home, goal)) for goal in goals]
    assert found == goals


def test_nine_demo_tunes_in_ten_tell_their_key():
    # A measure, not a law: a tune that goes through all the keys has none to be found.
    hits = [key_of(replace(chart, key=None)) == chart.key for chart in DEMOS]
    assert sum(hits) >= 0.9 * len(hits) > 7


def test_no_chords_are_in_c():
    assert estimate_key([]) == Key(NoteName("C"))


@many
@given(st.sampled_from(TUNES), st.fractions(Fraction(1, 8), 8))
def test_only_the_proportion_of_lengths_counts(tune, factor):
    text, home = tune
    assert estimate_key((chord, length * factor) for chord, length in changes(text)) == home


@many
@given(st.sampled_from(TUNES), st.data())
def test_a_chord_written_twice_counts_as_one_that_lasts(tune, data):
    text, home = tune
    played = changes(text)
    cuts = data.draw(st.lists(st.integers(1, 7), min_size=len(played), max_size=len(played)))
    twice = [
        (chord, part)
        for (chord, length), cut in zip(played, cuts, strict=True)
        for part in (length * cut / 8, length * (8 - cut) / 8)
    ]
    assert estimate_key(twice) == home


def test_a_repeated_progression_keeps_its_key():
    for text, home in TUNES:
        assert estimate_key(changes(text) * 3) == home
