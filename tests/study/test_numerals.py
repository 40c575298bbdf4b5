"""Numerals against handbook progressions, music21's pitches, and themselves in other keys.

The progressions are common practice, no source. music21 is asked for pitches only: its own names of
secondary dominants differ from the trade's.
"""

import doctest
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import roman

import chartkit.study.numerals
from chartkit.study.functions import View
from chartkit.study.numerals import numeral
from chartkit.study.standing import Around
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import read_symbol
from chartkit.transpose import transpose_chord

many = settings(derandomize=True, max_examples=200, deadline=None)

IN_C = {
    "C | F | G | C": "I IV V I",
    "C | Am | F | G": "I vi IV V",
    "Cmaj7 | Dm7 | Em7 | Fmaj7": "Imaj7 ii7 iii7 IVmaj7",
    "G7 | Am7 | Bm7b5 | Cmaj7": "V7 vi7 vii7b5 Imaj7",
    "Cmaj7 | A7 | Dm7 | G7": "Imaj7 V7/ii ii7 V7",
    "C6 | D7 | G7 | C6": "I6 V7/V V7 I6",
    "C6 | D7 | Dm7 G7 | C6": "I6 V7/V ii7 V7 I6",
    "C6 | E7 | A7 | D7 | G7 | C6": "I6 V7/VI V7/II V7/V V7 I6",
    "C6 | D | G | C6": "I6 V/V V I6",
    "C6 | Bm7b5 E7b9 | Am7 | G7": "I6 vii7b5 V7b9/vi vi7 V7",
    "C6 | Gm7 C7 | Fmaj7 | Fm6": "I6 ii7/IV V7/IV IVmaj7 iv6",
    "C6 | Em7b5 A7b9 | Dm7 | G7": "I6 ii7b5/ii V7b9/ii ii7 V7",
    "C6 | F#m7b5 B7 | Em7 | G7": "I6 ii7b5/iii V7/iii iii7 V7",
    "Cmaj7 | Fm7 Bb7 | Cmaj7 | G7": "Imaj7 iv7 bVII7 Imaj7 V7",
    "Dm7 | Db7 | Cmaj7 | Cmaj7": "ii7 subV7 Imaj7 Imaj7",
    "Em7 | Eb7 | Dm7 | G7": "iii7 subV7/ii ii7 V7",
    "C6 | Ebm7 Ab7 | G7 | C6": "I6 biii7 subV7/V V7 I6",
    "C6 | C#o7 | Dm7 | G7": "I6 #io7 ii7 V7",
    "Em7 | Ebo7 | Dm7 | G7": "iii7 biiio7 ii7 V7",
    "Dm7 | D#o7 | Em7 | G7": "ii7 #iio7 iii7 V7",
    "Fmaj7 | F#o7 | C/G | G7": "IVmaj7 #ivo7 I V7",
    "G7 | G#o7 | Am7 | G7": "V7 #vo7 vi7 V7",
    "C6 | Ebmaj7 | Abmaj7 | Dbmaj7": "I6 bIIImaj7 bVImaj7 bIImaj7",
    "C6 | E7 | Fmaj7 | G7": "I6 III7 IVmaj7 V7",
    "C6 | D7 | Fmaj7 | C6": "I6 II7 IVmaj7 I6",
    "C6 | Db7 | Fmaj7 | G7": "I6 bII7 IVmaj7 V7",
    "C7 | F7 | C7 | G7": "I7 IV7 I7 V7",
    "C7 | Gm7 C7 | F7 | F#o7 | C7 | A7 | Dm7 | G7": "I7 ii7/IV V7/IV IV7 #ivo7 I7 V7/ii ii7 V7",
    "Gsus | G7sus | C6 | C6": "Vsus V7sus I6 I6",
    "C6 | Dm(maj7) | Dm7 | G7alt": "I6 ii(maj7) ii7 V7alt",
}
IN_C_MINOR = {
    "Cm | Fm | G7 | Cm": "i iv V7 i",
    "Cm7 | Dm7b5 | Ebmaj7 | Fm7": "i7 ii7b5 bIIImaj7 iv7",
    "Gm7 | Abmaj7 | Bb7 | Cm7": "v7 bVImaj7 bVII7 i7",
    "Cm6 | Am7b5 | Dm7b5 | G7b9": "i6 vi7b5 ii7b5 V7b9",
    "Cm(maj7) | Bo7 | Ebmaj7#5 | F7": "i(maj7) viio7 bIIImaj7#5 IV7",
    "Cm7 | Ab7 | G7 | Cm7": "i7 subV7/V V7 i7",
    "Cm7 | Gm7b5 C7b9 | Fm7 | G7": "i7 ii7b5/iv V7b9/iv iv7 V7",
    "Cm7 | Am7b5 D7 | Gm7 | G7": "i7 vi7b5 V7/v v7 V7",
    "Cm7 | Fm7 | Bb7 | Ebmaj7": "i7 iv7 bVII7 bIIImaj7",
    "Cm7 | Dm7b5 | Db7 | Cm7": "i7 ii7b5 subV7 i7",
    "Cm7 | Dbmaj7 | Cm7 | Dbmaj7": "i7 bIImaj7 i7 bIImaj7",
    "Cm | Dm7b5 G7 | C | G7": "i ii7b5 V7 I V7",
}
PROGRESSIONS = [
    *((text, "major", words) for text, words in IN_C.items()),
    *((text, "minor", words) for text, words in IN_C_MINOR.items()),
]

# Every degree's diatonic seventh chord by its figure; music21 supplies the pitches.
DIATONIC = {
    "major": {
        "Imaj7": ("I7", "maj7"),
        "ii7": ("ii7", "m7"),
        "iii7": ("iii7", "m7"),
        "IVmaj7": ("IV7", "maj7"),
        "V7": ("V7", "7"),
        "vi7": ("vi7", "m7"),
        "vii7b5": ("viiø7", "m7b5"),
    },
    "minor": {
        "i7": ("i7", "m7"),
        "ii7b5": ("iiø7", "m7b5"),
        "bIIImaj7": ("III7", "maj7"),
        "iv7": ("iv7", "m7"),
        "v7": ("v7", "m7"),
        "V7": ("V7", "7"),
        "bVImaj7": ("VI7", "maj7"),
        "bVII7": ("VII7", "7"),
    },
}
# The figure, its chord above the tonic C (and what it goes to), and its figure in music21.
APPLIED = {
    "V7/ii": ("A7 Dm7", "V7/ii"),
    "V7/iii": ("B7 Em7", "V7/iii"),
    "V7/IV": ("C7 Fmaj7", "V7/IV"),
    "V7/V": ("D7 G7", "V7/V"),
    "V7/vi": ("E7 Am7", "V7/vi"),
    "bVI": ("Ab C", "bVI"),
    "bVII": ("Bb C", "bVII"),
    "iv": ("Fm C", "iv"),
}


def keys(mode):
    return [Key.written(pitch_class, mode) for pitch_class in range(12)]


def in_music21(key):
    tonic = str(key.tonic).replace("b", "-")
    return tonic if key.mode == "major" else tonic.lower()


def chord(text):
    return read_symbol(text).chord


def written(report):
    return " ".join(str(found) for found in report.numerals)


@pytest.mark.parametrize(("text", "mode", "words"), PROGRESSIONS)
def test_handbook_progressions(look, text, mode, words):
    found = look(text, f"C {mode}")
    assert written(found) == words
    assert {str(key) for key in found.keys} == {f"C {mode}"}


@pytest.mark.parametrize(("text", "mode", "words"), PROGRESSIONS)
def test_they_are_the_same_in_all_twelve_keys(look, text, mode, words):
    home = Key(NoteName("C"), mode)
    bars = [bar.split() for bar in text.split("|")]
    for key in keys(mode):
        moved = " | ".join(" ".join(name(chord(s), home, key) for s in bar) for bar in bars)
        assert written(look(moved, str(key))) == words


def name(one, home, key):
    from chartkit.theory.symbol import write_symbol

    return write_symbol(transpose_chord(one, home, key))


@pytest.mark.parametrize("mode", DIATONIC)
def test_diatonic_sevenths_have_the_pitches_of_music21(mode):
    for key, (figure, (theirs, quality)) in product(keys(mode), DIATONIC[mode].items()):
        wanted = set(roman.RomanNumeral(theirs, in_music21(key)).pitchClasses)
        root = next(
            root
            for root in map(
                chord, ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
            )
            if chord(f"{root.root}{quality}").pitch_classes == wanted
        )
        found = numeral(View(Around(chord(f"{root.root}{quality}")), key))
        assert (str(found), found.role) == (figure, "diatonic")


def test_applied_dominants_and_borrowed_chords_have_the_pitches_of_music21():
    # V7/ii in F is D F# A C, among others.
    home = Key(NoteName("C"))
    for key, (figure, (text, theirs)) in product(keys("major"), APPLIED.items()):
        one, goal = (transpose_chord(chord(symbol), home, key) for symbol in text.split())
        assert one.pitch_classes == set(roman.RomanNumeral(theirs, in_music21(key)).pitchClasses)
        assert str(numeral(View(Around(one, goal=goal), key))) == figure


@pytest.mark.parametrize(
    ("text", "key", "roles"),
    [
        (
            "Cmaj7 | A7 | Ab7 | G7",
            "C major",
            "diatonic,secondary dominant,tritone substitute,diatonic",
        ),
        (
            "C6 | Gm7 C7 | Fmaj7 | Fm6",
            "C major",
            "diatonic,related ii,secondary dominant,diatonic,borrowed",
        ),
        ("C7 | F7 | F#o7 | G7", "C major", "blues,blues,diminished,diatonic"),
        # The major seventh of a minor chord is colour.
        ("C6 | Dm(maj7) | Fm(maj7) | C6", "C major", "diatonic,diatonic,borrowed,diatonic"),
        ("Cmaj7 | Abmaj7 | Bmaj7 | Cmaj7", "C major", "diatonic,borrowed,chromatic,diatonic"),
    ],
)
def test_roles(look, text, key, roles):
    assert ",".join(found.role for found in look(text, key).numerals) == roles


def test_a_break_has_no_numeral(look):
    assert [found and str(found) for found in look("C6 | N.C.").numerals] == ["I6", None]


def test_a_slash_bass_changes_nothing(look):
    assert written(look("C/E | F/A | G7/B | C")) == "I IV V7 I"


QUALITIES = ("", "m", "7", "maj7", "m7", "m7b5", "o7", "7alt", "7sus", "+", "sus", "6", "m6", "5")
ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
symbols = st.builds(str.__add__, st.sampled_from(ROOTS), st.sampled_from(QUALITIES))


@many
@given(st.lists(symbols, min_size=4, max_size=4), st.sampled_from(["major", "minor"]))
def test_whatever_is_drawn_has_the_same_numeral_in_all_keys(drawn, mode):
    home = Key(NoteName("C"), mode)
    chords = [chord(symbol) for symbol in drawn]
    found = set()
    for key in keys(mode):
        one, before, goal, beyond = (transpose_chord(c, home, key) for c in chords)
        found.add(numeral(View(Around(one, before, goal, beyond), key)))
    assert len(found) == 1


@pytest.mark.parametrize(("quality", "root"), list(product(QUALITIES, ROOTS)))
def test_every_chord_has_a_numeral_that_keeps_its_quality(quality, root):
    for mode in ("major", "minor"):
        found = numeral(View(Around(chord(root + quality)), Key(NoteName("C"), mode)))
        small = quality.startswith("m") and not quality.startswith("maj")
        assert found.quality == (quality[1:] if small else quality)
        assert found.degree.islower() == (small or quality == "o7")


def test_the_example_in_the_docstring():
    assert doctest.testmod(chartkit.study.numerals).failed == 0
