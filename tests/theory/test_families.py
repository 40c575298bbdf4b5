"""Voicings by family, against chords as any player would write them out and against plain rules.

Examples: drop 2 of Cmaj7 on strings 4-3-2-1, the four inversions 5557, 9988, 10 12 12 12 and 2413;
the forms A and B of ii-V-I, quartal stacks (common practice, no source).
"""

import doctest
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.band import hands
from chartkit.band.hands import HANDS
from chartkit.guitar.fretboard import STANDARD, fret_of
from chartkit.guitar.shape import shapes
from chartkit.theory import families
from chartkit.theory.chord_scale import Setting, chord_scale
from chartkit.theory.families import FAMILIES, NAMES, in_family, is_drop_2
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import read_symbol

NAMES_OF_NOTES = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
NOTES = {name: number for number, name in enumerate(NAMES_OF_NOTES)}
C_MAJOR = Key(NoteName.parse("C"), "major")


def chord(symbol):
    return read_symbol(symbol).chord


def scale_of(symbol, following=None):
    goes_to = chord(following) if following else None
    return chord_scale(Setting(chord(symbol), C_MAJOR, goes_to))


def found(family, symbol, low=48, high=72, following=None):
    scale = scale_of(symbol, following)
    return {one.pitches for one in in_family(family, chord(symbol), (low, high), scale)}


def classes(family, symbol, following=None):
    """The chords of a family by the names of their notes from the lowest up."""
    return {tuple(p % 12 for p in one) for one in found(family, symbol, following=following)}


def named(*notes):
    return tuple(NOTES[note] for text in notes for note in text.split())


@pytest.mark.parametrize(
    ("symbol", "following", "form"),
    [
        ("Dm7", "G7", "F A C E"),
        ("G7", "Cmaj7", "F A B E"),
        ("Cmaj7", None, "E G B D"),
        ("Dm7", "G7", "C E F A"),
        ("G7", "Cmaj7", "B E F A"),
        ("Cmaj7", None, "B D E G"),
        ("G7alt", "Cm7", "F Ab B Eb"),
        ("Cm7", None, "Eb G Bb D"),
    ],
)
def test_rootless_forms_of_two_five_one(symbol, following, form):
    assert named(form) in classes("rootless", symbol, following)


@pytest.mark.parametrize(
    ("symbol", "following", "forms"),
    [
        ("Dm7", None, {"D F C", "D C F"}),
        ("G7", "Cmaj7", {"G B F", "G F B"}),
        ("Cmaj7", None, {"C E B", "C B E"}),
        ("C6", None, {"C E A", "C A E"}),
    ],
)
def test_a_shell_is_root_third_and_seventh(symbol, following, forms):
    assert classes("shell", symbol, following) == {named(form) for form in forms}


def test_drop_2_of_a_major_seventh_on_the_four_highest_strings():
    """All four inversions are drop 2; that with a minor ninth, B under C, is none to comp with."""
    by_frets = ("5 5 5 7", "9 9 8 8", "10 12 12 12", "2 4 1 3")
    opened = (50, 55, 59, 64)
    inversions = [
        tuple(low + int(fret) for low, fret in zip(opened, frets.split(), strict=True))
        for frets in by_frets
    ]
    assert all(map(is_drop_2, inversions))
    own = found("drop 2", "Cmaj7", 40, 80)
    assert [one in own for one in inversions] == [True, False, True, True]
    assert inversions[1] == (59, 64, 67, 72)


@pytest.mark.parametrize(
    ("symbol", "following", "stack"),
    [
        ("Dm7", "G7", "D G C F"),
        ("G7", "Cmaj7", "F B E A"),
        ("Cmaj7", None, "B E A D"),
        ("C7sus", "Fmaj7", "G C F Bb"),
    ],
)
def test_quartal_stacks(symbol, following, stack):
    found_here = classes("quartal", symbol, following)
    wanted = named(stack)
    assert wanted in found_here or wanted[:3] in found_here


def test_a_chord_without_fourths_has_no_quartal_voicing():
    assert found("quartal", "Bm7b5") == set()
    assert found("quartal", "C") == set()


QUALITIES = ("", "m", "7", "m7", "maj7", "m7b5", "o7", "6", "m6", "7sus", "7alt", "9", "13", "7#11")
SYMBOLS = st.builds(str.__add__, st.sampled_from([*NOTES]), st.sampled_from(QUALITIES))


@given(SYMBOLS, st.sampled_from(NAMES), st.sampled_from([*HANDS]))
@settings(derandomize=True, max_examples=200, deadline=None)
def test_every_voicing_is_what_its_family_says(symbol, family, hand):
    own, scale = chord(symbol), scale_of(symbol)
    for one in in_family(family, own, (48, 72), scale, HANDS[hand].holds):
        gaps = [high - low for low, high in pairwise(one.pitches)]
        root = own.root.pitch_class
        heard = {pitch % 12 for pitch in one.pitches}
        if own.seventh and own.third:
            assert {(root + d.semitones) % 12 for d in (own.third, own.seventh)} <= heard
        assert 3 <= len(one.pitches) <= 4
        assert one.pitches[-1] - one.pitches[0] <= 16
        if family == "quartal":
            assert set(gaps[:-1]) <= {5, 6}
            assert gaps[-1] in ({5, 6} if len(gaps) == 2 else {4, 5, 6})
        if family == "drop 2":
            lowest, *others = one.pitches
            close = sorted([lowest + 12, *others])
            assert close[-2] == lowest + 12
            assert close[-1] - close[0] < 12
        if family == "shell":
            assert len(one.pitches) == 3
        if hand == "guitar":
            (shape, *_) = shapes(one.pitches)
            assert [fret_of(STANDARD, s, p) for (s, _), p in zip(shape, one.pitches, strict=True)]
            assert len({string for string, _ in shape}) == len(one.pitches)


def test_a_recipe_more_is_a_family_more(monkeypatch):
    """A family is a row: one of ours, added for a moment, is found like the others."""
    from chartkit.theory.families import Recipe

    monkeypatch.setitem(FAMILIES, "close", (Recipe("close", ("* * * *",)),))
    assert (60, 64, 67, 71) in found("close", "Cmaj7")


def test_the_examples_in_the_docstrings():
    for module in (families, hands):
        found = doctest.testmod(module)
        assert found.attempted
        assert not found.failed
