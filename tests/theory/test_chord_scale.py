"""Chord scales: the table of common practice, and the law that a scale contains its chord."""

import doctest
import itertools
from pathlib import Path

import pytest

import chartkit.theory.chord_scale
from chartkit.theory.chord_scale import Setting, chord_scale, kind, same_function
from chartkit.theory.key import WRITTEN, Key
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import read_symbol

QUALITIES = sorted(
    {
        line.split()[0][1:]
        for line in (Path(__file__).parent / "qualities.txt").read_text().splitlines()
        if line and not line.startswith("#")
    }
)
KEYS = [Key.written(pitch_class, mode) for mode in WRITTEN for pitch_class in range(12)]
GOALS = ["Cmaj7", "C7", "Cm7", "Cm7b5", "Co7", "Csus", "C5", None]


def chord(text):
    return read_symbol(text).chord if text else None


def scale(key, symbol, goal=None, *, blues=False):
    """Return the scale of a chord in a key given as ``C`` or ``Cm``."""
    mode = "minor" if key.endswith("m") else "major"
    home = Key(NoteName.parse(key.removesuffix("m")), mode)
    return chord_scale(Setting(chord(symbol), home, chord(goal), blues))


def test_examples_in_the_docstrings():
    assert doctest.testmod(chartkit.theory.chord_scale).failed == 0


# Common practice, no source. Key, chord, where it goes: the scale.
TABLE = """
C   Cmaj7      Am7     ionian
C   Dm7        Em7     dorian
C   Em7        Am7     phrygian
C   Fmaj7      Em7     lydian
C   Am7        Dm7     aeolian
C   G          C       mixolydian
C   G6         C       mixolydian
Cm  Cm         Fm7     dorian
Cm  Cm7        Fm7     dorian
Cm  Cm(maj7)   Fm7     melodic minor
Cm  Cm6        Fm7     melodic minor
Cm  Cm69       Fm7     melodic minor
Cm  Fm7        G7      dorian
Cm  Fm6        G7      dorian
Cm  Ebmaj7     Ab      ionian
Cm  Abmaj7     G7      lydian
C   Cmaj7#11   Dm7     lydian
C   Ebmaj7#11  Dm7     lydian
C   Cmaj7#5    Dm7     lydian augmented
C   Bm7b5      E7      locrian
Cm  Dm7b5      G7      locrian
Cm  Dm9b5      G7      locrian natural 2
C   Dbo7       Dm7     whole-half
C   G7         Cmaj7   mixolydian
C   G13        C6      mixolydian
C   G7         Am7     mixolydian
C   G7         -       mixolydian
C   G13#11     Cmaj7   lydian dominant
C   G7b13      Cmaj7   mixolydian b6
C   G7         Cm7     phrygian dominant
Cm  G7         Cm7     phrygian dominant
Cm  G7         Abmaj7  phrygian dominant
Cm  G7b9       Cm6     phrygian dominant
Cm  G9         Cm6     mixolydian b6
C   Db7        Cmaj7   lydian dominant
C   Bb7        Cmaj7   lydian dominant
C   G7         Gbmaj7  lydian dominant
C   Db7        C7      lydian dominant
C   D7         Dm7     lydian dominant
C   A7         Dm7     phrygian dominant
C   E7         Am7     phrygian dominant
C   B7         Em7     phrygian dominant
C   D7         G7      mixolydian
C   C7         Fmaj7   mixolydian
C   E7         A7      mixolydian
C   F#m7       B7      dorian
C   Em7        A7      dorian
C   Am7        D7      dorian
C   Gm9        C13     dorian
C   Em9        Am7     aeolian
C   Fm6        Cmaj7   melodic minor
C   Fm7        Cmaj7   dorian
C   Dm6        Cmaj7   dorian
C   G7alt      Cmaj7   altered
C   G7#5#9     Cmaj7   altered
C   G7#5b9     Cmaj7   altered
C   G7#9       Cm7     altered (5)
C   G13b9      Cmaj7   half-whole
C   G13#9      Cmaj7   half-whole
C   G7b9       Cmaj7   half-whole
C   G7(b9,#11) Cmaj7   half-whole
C   G7(b9,b13) Cmaj7   phrygian dominant
C   G7#5       Cmaj7   whole tone
C   G9#5       Cmaj7   whole tone
C   G+         C       whole tone
C   G7sus      Cmaj7   mixolydian
C   G13sus     G7      mixolydian
C   G7sus(b9)  Cmaj7   mixolydian (b9)
C   Gsus       C       mixolydian
C   Csus       C       ionian
C   Em7b9      Am7     phrygian
C   Dm7b9      Em7     phrygian
C   Abmaj7     G7      lydian
C   Dbmaj7     C       lydian
C   Bbmaj7     C       lydian
C   Emaj7      F       ionian
C   A5         D5      aeolian
C   C69#11     Dm7     lydian
C   Cmaj9(11)  Dm7     ionian
C   Fmaj9(11)  Em7     ionian
C   Cmaj7#9    Dm7     ionian (#9)
"""
ROWS = [row.split(maxsplit=3) for row in TABLE.strip().splitlines()]


@pytest.mark.parametrize(("key", "symbol", "goal", "name"), ROWS)
def test_the_scale_that_players_take(key, symbol, goal, name):
    assert scale(key, symbol, None if goal == "-" else goal).name == name


# A blues has dominant sevenths on I and IV that resolve nowhere. Common practice, no source.
@pytest.mark.parametrize("symbol", ["F7", "Bb7", "F9", "Bb13"])
def test_i_and_iv_of_a_blues_are_mixolydian(symbol):
    assert scale("F", symbol, "Ab7", blues=True).name == "mixolydian"
    assert scale("F", symbol, "Ab7").name == "lydian dominant"


@pytest.mark.parametrize("quality", QUALITIES)
def test_a_scale_contains_the_written_chord(quality):
    goals = [chord(goal) for goal in GOALS]
    roots = [NoteName.parse(name) for name in WRITTEN["major"]]
    for key, root, goal in itertools.product(KEYS, roots, goals):
        one = chord(f"{root}{quality}")
        found = chord_scale(Setting(one, key, goal))
        assert one.pitch_classes <= found.pitch_classes
        steps = [degree.semitones for degree in found.degrees]
        assert steps == sorted(set(steps)), found
        assert steps[0] == 0
        assert steps[-1] < 12


# Common practice, no source.
@pytest.mark.parametrize(
    ("wanted", "symbols"),
    [
        ("major", "C C6 C69 Cmaj7 Cmaj9#11 Cadd9 Cmaj7b5 C(b5)"),
        ("minor", "Cm Cm7 Cm6 Cm(maj7) Cm11 Cm7#5"),
        ("dominant", "C7 C13 C7alt C7#5 C7b5 C7sus C9sus C7sus2"),
        ("half-diminished", "Cm7b5 Cm9b5"),
        ("diminished", "Co Co7 Co(maj7)"),
        ("augmented", "C+ Cmaj7#5"),
        ("open third", "C5 Csus Csus2 C69sus Cmaj7sus"),
    ],
)
def test_the_kind_of_a_chord(wanted, symbols):
    assert {symbol: kind(chord(symbol)) for symbol in symbols.split()} == dict.fromkeys(
        symbols.split(), wanted
    )


def test_a_dominant_and_its_sus_are_one_function():
    assert same_function(chord("G7sus"), chord("G7b9/F"))
    assert same_function(chord("F#m7"), chord("Gbm9"))
    assert not same_function(chord("G7"), chord("Gm7"))
    assert not same_function(chord("G7"), chord("Db7"))
