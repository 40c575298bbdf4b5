"""Common tones against an independent library's chords, guide tones against worked lines."""

import doctest
from itertools import product

import mir_eval.chord
import numpy as np
import pytest

import chartkit.study.changes
from chartkit.study.changes import changes, guide_tones, movement
from chartkit.theory.symbol import read_symbol, write_symbol

# Our qualities and their names in Harte's shorthand (Harte et al. 2005), as mir_eval reads them.
HARTE = {
    "": "maj",
    "m": "min",
    "7": "7",
    "maj7": "maj7",
    "m7": "min7",
    "m7b5": "hdim7",
    "o7": "dim7",
    "m(maj7)": "minmaj7",
    "6": "maj6",
    "m6": "min6",
    "sus": "sus4",
    "+": "aug",
}
ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")

# Worked lines (common practice, no source): guide tones over changes, from the third or seventh.
LINES = [
    ("Dm7 G7 Cmaj7", "F", "F F E"),
    ("Dm7 G7 Cmaj7", "C", "C B B"),
    ("F7 Bb7 F7 F7 Bb7 Bo7 F7 D7 Gm7 C7 F7 C7", "A", "A Ab A A Ab Ab A F# F E Eb E"),
    ("C6 Am7 Dm7 G7sus G7 C6", "E", "E G F F F E"),
    ("C F G C", "E", "E F G E"),
]


def chord(text):
    return read_symbol(text).chord


def theirs(root, quality):
    number, bitmap, _ = mir_eval.chord.encode(f"{root}:{HARTE[quality]}")
    return set((np.flatnonzero(bitmap) + number) % 12)


@pytest.mark.parametrize("quality", HARTE)
def test_common_tones_are_those_of_both_chords(music, quality):
    for root, (other, another) in product(ROOTS, [("G", "7"), ("C", "m7"), ("Ab", "maj7")]):
        one, two = f"{root}{quality}", f"{other}{another}"
        found = changes(music(f"{one} | {two}", loop=False), loop=False)
        common = theirs(root, quality) & theirs(other, another)
        if one == two:
            assert found == ()
        else:
            assert {tone.pitch_class for tone in found[0].common} == common


def test_they_are_spelled_as_the_first_chord_spells_them(music):
    first, back = changes(music("Ab7 | E7"), loop=True)
    assert list(map(str, first.common)) == ["Ab"]
    assert list(map(str, back.common)) == ["G#"]


@pytest.mark.parametrize(
    ("symbol", "tones"),
    [
        ("G7", "B F"),
        ("Cmaj7", "E B"),
        ("C6", "E A"),
        ("Dm7b5", "F C"),
        ("Bo7", "D Ab"),
        ("G7sus", "C F"),
        ("F", "A F"),
        ("Fm", "Ab F"),
        ("C5", "G C"),
        ("G7alt", "B F"),
        ("G7/F", "B F"),
    ],
)
def test_guide_tones(symbol, tones):
    assert " ".join(map(str, guide_tones(chord(symbol)))) == tones


@pytest.mark.parametrize(("symbols", "start", "line"), LINES)
def test_guide_tones_move_as_little_as_they_can(symbols, start, line):
    first, *rest = map(chord, symbols.split())
    tone = next(tone for tone in guide_tones(first) if str(tone) == start)
    found = [tone]
    for one in rest:
        found.append(movement(found[-1], one).to)
    assert " ".join(map(str, found)) == line


def test_no_guide_tone_is_nearer_than_the_one_moved_to():
    everything = [chord(root + quality) for root, quality in product(ROOTS, HARTE)]
    for one, other in product(everything[::5], everything):
        for tone in guide_tones(one):
            way = movement(tone, other)
            assert (tone.pitch_class + way.semitones - way.to.pitch_class) % 12 == 0
            ups = [(to.pitch_class - tone.pitch_class) % 12 for to in guide_tones(other)]
            assert abs(way.semitones) == min(min(up, 12 - up) for up in ups)
            if any((12 - up) % 12 == abs(way.semitones) for up in ups):  # as near below: go down
                assert way.semitones <= 0


def test_a_chord_that_goes_on_changes_nothing_and_a_break_parts(music):
    found = changes(music("C6 | % | N.C. | F6 | C6"), loop=True)
    assert [(one.span, one.to) for one in found] == [(3, 4)]


def test_in_a_loop_the_end_changes_to_the_beginning(music):
    text = "Dm7 | G7 | C6"
    assert [(one.span, one.to) for one in changes(music(text), loop=True)] == [
        (0, 1),
        (1, 2),
        (2, 0),
    ]
    assert len(changes(music(text, loop=False), loop=False)) == 2


def test_another_bass_or_tension_is_a_change(music):
    found = changes(music("G9sus | G7b9 | G7b9/B | C6"), loop=False)
    assert [one.span for one in found] == [0, 1, 2]
    assert write_symbol(music("G9sus | G7b9")[0].chord) == "G9sus"


def test_the_example_in_the_docstring():
    assert doctest.testmod(chartkit.study.changes).failed == 0
