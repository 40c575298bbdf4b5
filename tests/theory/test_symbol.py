"""Chord symbols, against Harte's labels, music21's spelling and goldens of every message.

``python tests/theory/test_symbol.py`` writes the goldens anew; read the difference before keeping
it.
"""
# ruff: noqa: RUF001 (look-alike signs are what is tested)
# ruff: noqa: SIM905 (a row of words reads like a chart)

import doctest
import itertools
import re
from pathlib import Path

import mir_eval
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import chartkit.theory.symbol
from chartkit.errors import ChordError
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import NoteName, degrees
from chartkit.theory.symbol import LONGEST, read_symbol, write_symbol

HERE = Path(__file__).parent
GOLDEN = HERE.parent / "golden" / "theory"

QUALITIES = [
    tuple(line.split())
    for line in (HERE / "qualities.txt").read_text().splitlines()
    if line and not line.startswith("#")
]
ROOTS = "C C# Db D D# Eb E F F# Gb G G# Ab A A# Bb B".split()
RARE_ROOTS = "Cb Fb E# B#".split()

many = settings(derandomize=True, max_examples=200, deadline=None)


def chord(text):
    return read_symbol(text).chord


def refused(text):
    with pytest.raises(ChordError) as caught:
        read_symbol(text)
    return caught.value


def test_examples_in_the_docstrings():
    assert doctest.testmod(chartkit.theory.symbol).failed == 0


@pytest.mark.parametrize(("symbol", "label"), QUALITIES)
def test_a_quality_has_the_pitches_of_its_published_label(symbol, label):
    # mir_eval 0.8.2 reads Harte's syntax; with the flag it counts degrees above 7.
    _, bitmap, _ = mir_eval.chord.encode(f"C:{label}", reduce_extended_chords=True)
    assert sorted(chord(symbol).pitch_classes) == np.flatnonzero(bitmap).tolist()


@pytest.mark.parametrize("root", ROOTS + RARE_ROOTS)
def test_every_quality_is_tidy_on_every_root(root):
    for symbol, _ in QUALITIES:
        text = root + symbol[1:]
        assert write_symbol(chord(text)) == text
        assert chord(text) == Chord(NoteName.parse(root), chord(symbol).degrees)


# Common practice, no source: one chord a row, as different hands write it; ours comes first.
HANDS = """
C Cmaj CMAJ Cma C/C
Cm Cmi Cmin C- CMIN CMi
Cmaj7 CMAJ7 CMaj7 Cma7 CM7 CΔ CΔ7 C∆ C△7 C(maj7) C(M7)
Cmaj9 CM9 CΔ9 Cma9 Cmaj7(9)
Cm7 Cmi7 Cmin7 C-7 C−7 C–7 CMIN7
Cm(maj7) CmM7 C-Δ7 C-Δ CmΔ Cmin(maj7) Cmmaj7 C-M7 Cm(M7)
Cm(maj9) CmM9 C-Δ9
Cm7b5 Cø Cø7 CØ C∅7 C-7-5 C-7b5 Cm7(b5) Cmin7-5
Cm9b5 Cø9 Cm7b5(9)
Co Cdim C° Cº C˚ CDIM CO Cm(b5)
Co7 Cdim7 C°7 CO7
Co(maj7) CdimM7 CoΔ
C+ Caug CAUG C(#5)
C7#5 C+7 Caug7 C7+ C7+5 C7(#5) C7aug C7(+5) C7♯5
C9#5 Caug9 C9+
Cmaj7#5 C+maj7 C+M7 CM7+5 CΔ7#5 Cmaj7+ C+Δ
C7b5 C7-5 C7(b5) C7(-5)
C7b9 C7-9 C7(b9) C7(-9) C7♭9 C7−9 C7–9
C7#9 C7+9 C7(#9) C7♯9
C7#11 C7+11 C7(#11)
C6 CM6 Cmaj6
C69 C6/9 C6(9) C6add9 CM69
C69/E C6/9/E
Cm69 C-6/9 Cm6/9 Cmin69
Csus Csus4 CSUS
C7sus C7sus4 Csus7 C7(sus4)
C9sus C9sus4 C7sus(9) C11sus
C13sus C13sus4 C9sus(13)
C7sus(b9) C7b9sus C7susb9 C7sus4b9 Csus7(b9)
C69sus C6/9sus
C7alt Calt C7(alt) CALT C7ALT
C7(b9,b13) C7b9b13 C7b13b9 C7(b13,b9) C7(b9)(b13)
C7(b9,#11) C7b9#11 C7#11(b9)
C13#11 C9#11(13) C9(#11,13) C13(#11)
C13b9 C7b9(13) C7(13,b9) C13(b9)
Cm11 Cm9(11) C-11
Cmaj9(11) Cmaj11
Cadd9 C(9) C(add9) CADD9
Cmadd9 Cm(9) Cm(add9) C-add9
"""


@pytest.mark.parametrize("row", HANDS.strip().splitlines())
def test_one_chord_in_many_hands(row):
    tidy, *others = row.split()
    assert write_symbol(chord(tidy)) == tidy
    assert {other: chord(other) for other in others} == dict.fromkeys(others, chord(tidy))


# The language's own rules for what could be read in two ways.
@pytest.mark.parametrize(
    ("symbol", "root", "wanted"),
    [
        ("Bb9", "Bb", "1 3 5 b7 9"),
        ("Bb5", "Bb", "1 5"),
        ("B(b5)", "B", "1 3 b5"),
        ("E7#9", "E", "1 3 5 b7 #9"),
        ("E(#9)", "E", "1 3 5 #9"),
        ("E#9", "E#", "1 3 5 b7 9"),
        ("C13", "C", "1 3 5 b7 9 13"),
        ("Cm13", "C", "1 b3 5 b7 9 13"),
        ("Cm11", "C", "1 b3 5 b7 9 11"),
        ("C11", "C", "1 4 5 b7 9"),
        ("C11b9", "C", "1 4 5 b7 b9"),
        ("C9(11)", "C", "1 3 5 b7 9 11"),
        ("C7(11)", "C", "1 3 5 b7 11"),
        ("C7b13", "C", "1 3 5 b7 b13"),
        ("Calt", "C", "1 3 b7 b9 #9 #11 b13"),
        ("C13b9", "C", "1 3 5 b7 b9 13"),
        ("Cm7(b9,11)", "C", "1 b3 5 b7 b9 11"),
        ("Csus2", "C", "1 2 5"),
        ("C5", "C", "1 5"),
    ],
)
def test_the_open_cases(symbol, root, wanted):
    assert chord(symbol) == Chord(NoteName.parse(root), degrees(wanted))


@pytest.mark.parametrize(
    ("symbol", "bass"),
    [("C6/9/E", "E"), ("C7/Bb", "Bb"), ("Cdim7/Bbb", "Bbb"), ("Dm7/C♯", "C#"), ("F#m7b5/E", "E")],
)
def test_a_note_after_the_slash_is_the_bass(symbol, bass):
    assert chord(symbol).bass == NoteName.parse(bass)
    assert chord(write_symbol(chord(symbol))) == chord(symbol)


# music21 spells an interval above a note by itself; these are its names for our degrees.
INTERVALS = dict(
    pair.split(":")
    for pair in """1:P1 2:M2 b3:m3 3:M3 4:P4 b5:d5 5:P5 #5:A5 6:M6 bb7:d7 b7:m7 7:M7
    b9:m9 9:M9 #9:A9 11:P11 #11:A11 b13:m13 13:M13""".split()
)


@pytest.mark.parametrize("root", ROOTS + RARE_ROOTS)
def test_spelling_follows_the_degree(root):
    from music21 import interval, note

    start = note.Note(root.replace("b", "-") + "3")
    spelled = {
        degree: interval.Interval(name).transposeNote(start).name.replace("-", "b")
        for degree, name in INTERVALS.items()
    }
    for symbol, _ in QUALITIES:
        one = chord(root + symbol[1:])
        assert [str(tone) for tone in one.tones] == [spelled[str(d)] for d in one.degrees]


# Handbook values; pychord 1.4.1 is on record as giving the same (not run here).
@pytest.mark.parametrize(
    ("symbol", "tones"),
    [
        ("E7#9", "E G# B D F##"),
        ("Cdim7", "C Eb Gb Bbb"),
        ("Gb7", "Gb Bb Db Fb"),
        ("Abm6", "Ab Cb Eb F"),
        ("F#m7b5", "F# A C E"),
    ],
)
def test_spelling_of_the_handbooks(symbol, tones):
    assert " ".join(map(str, chord(symbol).tones)) == tones


REFUSED = [
    *("Bbb5", "Bbb7", "F##9", "E##7", "CM", "CM/E", "CMadd9", "C-5", "C-5/Bb", "C+5", "C+11"),
    *("C2", "C2/E", "C4", "Csus9", "Csus13/F", "C7/", "C/", "/E", "H7", "h", "C/H", "C/e"),
    *("C07", "C0", "C0/Eb", "c7", "bb7", "xyz", "", "N.C.", "7", "C7/9", "C/G/E", "C6/9/", "C7/X"),
    *("C7(b9", "C7b9)", "C7()", "C7,9", "C7((b9))", "C 7", "C7 (b9)", "C7(b9 x)", "(b9)"),
    *("C9b9", "C13(b13)", "Cm11(#11)", "C69b9", "Cm7sus", "Cosus", "C5sus", "Csus2sus4"),
    *("C7#4", "C7b6", "C7#13", "C7b11", "C(7)", "Cadd2", "C8", "C10", "Cm5", "Cm2", "C7-"),
    *("CmM", "Cmmaj", "CøM7", "Co6", "Cø69", "Cmalt", "C7altb9", "C9alt", "C(m7)", "Cm+", "Cno3"),
    *("Cmaj-7", "C7?", "C7\n", "C\x00", "C" * 100, "C" + "/" * 60, "♭7", "🎷"),
]
NOTICED = [
    *("Bb5", "F#5", "Bb5/F", "Cb7", "Fb", "E#m7", "B#7", "E#9", "B#9", "Cb9", "Fb13", "E#11"),
    *("C11", "Bb11", "C11b9", "C11/F", "C+9", "E♯9"),
]
SILENT = "Bb9 Bb13 F#9 F#11sus C5 C+7 Cm11 Cmaj11 C9(11) Abm/Cb Bb(b5) Ebadd9 C7+9 C-9".split()


def messages():
    """Return the whole text of every message, a line each."""
    yield "refused.txt", (f"{text!r:14} {refused(text)}" for text in REFUSED)
    yield (
        "noticed.txt",
        (
            f"{text:6} {write_symbol(chord(text)):10} {notice}"
            for text in NOTICED
            for notice in read_symbol(text).warnings
        ),
    )


@pytest.mark.parametrize(("name", "lines"), list(messages()))
def test_every_message_is_as_it_was_approved(name, lines):
    assert list(lines) == (GOLDEN / name).read_text().splitlines()


@pytest.mark.parametrize("text", SILENT)
def test_what_nobody_misreads_is_read_without_a_word(text):
    assert read_symbol(text).warnings == ()


@pytest.mark.parametrize("text", NOTICED)
def test_what_could_be_misread_warns(text):
    assert read_symbol(text).warnings


@pytest.mark.parametrize("text", REFUSED)
def test_a_symbol_that_is_suggested_can_be_read(text):
    error = refused(text)
    assert error.symbol == text
    assert str(error).isprintable()
    for hint in error.expected:
        if re.match("`[A-G]", hint):
            read_symbol(hint.strip("`"))


def test_a_long_symbol_is_refused_before_it_is_looked_at():
    assert str(LONGEST) in refused("C" + "(9)" * 1000).found
    assert chord("C7" + "(b9)" * 15) == chord("C7b9")


HEADS = [
    "".join(parts)
    for parts in itertools.product(
        ("", "m", "-", "dim", "o", "ø", "aug", "+"),
        ("", "maj", "M", "Δ"),
        ("", "5", "6", "69", "7", "9", "11", "13"),
    )
]
TAILS = "sus sus2 alt add9 add11 b5 #5 b9 9 #9 11 #11 b13 13 + -9".split()


def is_kept(text):
    """Tell whether a symbol is read, and then is the same after any number of rewritings."""
    try:
        first = chord(text)
    except ChordError:
        return False
    tidy = write_symbol(first)
    assert chord(tidy) == first, text
    assert write_symbol(chord(tidy)) == tidy, text
    return True


def test_whatever_head_and_tail_are_put_together_is_kept_or_refused():
    tails = ["", *TAILS, *(f"({a},{b})" for a, b in itertools.combinations(TAILS, 2))]
    kept = sum(is_kept(f"C{head}{tail}") for head in HEADS for tail in tails)
    assert kept > 5000


@many
@given(
    st.sampled_from(ROOTS + RARE_ROOTS + ["Bbb", "H", "c", ""]),
    st.sampled_from(HEADS),
    st.lists(st.sampled_from([*TAILS, "(", ")", ",", "7", "/", " ", "0"]), max_size=5),
    st.sampled_from(["", "/E", "/Bb", "/Cbb", "/", "/e", "/C/E"]),
)
def test_what_looks_like_a_chord_is_kept_or_refused(root, head, tail, bass):
    is_kept(f"{root}{head}{''.join(tail)}{bass}")


@many
@given(st.text(max_size=2 * LONGEST))
def test_any_text_is_kept_or_refused(text):
    is_kept(text)


@many
@given(st.text("ABCGHabo01234567913mMajdinsuslt#b+-()/, ♭♯𝄫𝄪ΔØº–", max_size=12))
def test_any_text_in_the_signs_of_chords_is_kept_or_refused(text):
    is_kept(text)
    is_kept(f"C{text}")


def test_a_chord_without_a_symbol_is_refused():
    with pytest.raises(ChordError, match="no chord symbol stands for the degrees 1 3 b7"):
        write_symbol(Chord(NoteName("C"), degrees("1 3 b7")))


if __name__ == "__main__":
    for file, text in messages():
        (GOLDEN / file).write_text("".join(f"{line}\n" for line in text))
