"""Phrases in other keys: the same degrees, the right sounds, names that follow the rule."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from phrase_strategies import phrases

from chartkit.phrase.analysis import facts_of
from chartkit.phrase.chart import key_of
from chartkit.phrase.reader import parse
from chartkit.phrase.transpose import distance, transpose_phrase
from chartkit.theory.key import WRITTEN, Key
from chartkit.theory.pitch import NoteName

LINE = (
    "Key: C\nChords: Dm7 | G7b9 | Cmaj7\n"
    "Melody: e F#4 | F4 E D C#5 C B4 A G# | Ab F E D# D B3 q G4 | w E"
)


def phrase_of(text):
    return parse(text, "x").phrase


def keys(mode):
    return [Key.written(pc, mode) for pc in range(12)]


@pytest.mark.parametrize("goal", keys("major"), ids=str)
def test_degrees_are_the_same_in_every_key(goal):
    home = phrase_of(LINE)
    moved = transpose_phrase(home, goal)
    assert [f.degree for f in facts_of(moved)] == [f.degree for f in facts_of(home)]
    assert [(f.standing, f.role) for f in facts_of(moved)] == [
        (f.standing, f.role) for f in facts_of(home)
    ]
    steps = {b.pitch.midi - a.pitch.midi for a, b in zip(home.notes, moved.notes, strict=True)
             if a.pitch}  # fmt: skip
    assert steps == {distance(key_of(home), goal)}


@settings(max_examples=80, deadline=None, derandomize=True)
@given(phrases(), st.integers(0, 11))
def test_every_note_moves_as_far_and_keeps_its_degree(phrase, pitch_class):
    home = key_of(phrase)
    goal = Key.written(pitch_class, home.mode)
    moved = transpose_phrase(phrase, goal)
    way = distance(home, goal)
    for before, after in zip(phrase.notes, moved.notes, strict=True):
        assert (before.start, before.length, before.tie) == (after.start, after.length, after.tie)
        if before.pitch:
            assert after.pitch.midi - before.pitch.midi == way
    for one, other in zip(facts_of(phrase), facts_of(moved), strict=True):
        if one.degree and not one.early:
            name = other.chord.root.up(one.degree)
            assert one.degree == other.degree or abs(name.alter) > 2  # no sign is left for it


def test_names_follow_the_degree():
    # The chart language's rule: E7#9 is spelled E G# B D F##.
    phrase = phrase_of("Key: A minor\nChords: E7#9\nMelody: 1 3 5 b7 #9")
    names = [str(n.pitch.name) for n in phrase.notes if n.pitch]
    assert names == ["E", "G#", "B", "D", "F##"]
    moved = transpose_phrase(phrase, Key.written(5, "minor"))
    assert [str(n.pitch.name) for n in moved.notes if n.pitch] == ["C", "E", "G", "Bb", "D#"]


def test_there_and_back_is_the_same_phrase():
    home = phrase_of(LINE)
    for mode, tonics in WRITTEN.items():
        if mode == "minor":
            continue
        for tonic in tonics:
            there = transpose_phrase(home, Key(NoteName.parse(tonic)))
            assert transpose_phrase(there, key_of(home)) in (
                home,
                transpose_phrase(home, key_of(home), 12),
                transpose_phrase(home, key_of(home), -12),
            )


def test_an_octave_can_be_asked_for():
    home = phrase_of("Key: C\nChords: C7\nMelody: w E4")
    up = transpose_phrase(home, Key.written(2, "major"), 14)
    assert str(up.notes[0].pitch) == "F#5"
    with pytest.raises(ValueError, match="13 semitones do not lead from C major to D major"):
        transpose_phrase(home, Key.written(2, "major"), 13)


def test_without_chords_names_keep_their_distance_from_the_key():
    home = phrase_of("Key: C\nMelody: q C4 F# Bb B")
    moved = transpose_phrase(home, Key.written(1, "major"))
    assert [str(n.pitch) for n in moved.notes] == ["Db4", "G4", "B4", "C5"]


def test_a_tied_note_keeps_its_name():
    tied = phrase_of("Key: Db\nChords: F#7 | Gb7\nMelody: | w F#4 _ | w F#")
    moved = transpose_phrase(tied, Key.written(0, "major"))
    assert moved.notes[0].pitch == moved.notes[1].pitch


def test_comments_and_lines_come_along():
    home = phrase_of("; one\nKey: C\nChords: C7 | F7\nMelody: | w C4 |\nMelody: | w F4 |")
    moved = transpose_phrase(home, Key.written(2, "major"))
    assert moved.comments == home.comments
    assert moved.lines == home.lines
    assert replace(moved, notes=(), chords=(), key=None, lines=()) == replace(
        home, notes=(), chords=(), key=None, lines=()
    )
