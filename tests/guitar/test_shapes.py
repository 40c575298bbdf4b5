"""Shapes against handbook diagrams and against what each kind of shape is, checked apart."""

from itertools import combinations, product

import pytest

from chartkit.errors import CannotPlay
from chartkit.guitar.fretboard import STANDARD, pitch_at, stretches
from chartkit.guitar.shapes import (
    VOICINGS,
    in_position,
    over_the_neck,
    three_to_a_string,
    voiced,
)
from chartkit.theory.key import WRITTEN
from chartkit.theory.pitch import NoteName
from chartkit.theory.scale import SCALES, Scale
from chartkit.theory.symbol import read_symbol

KEYS = [NoteName.parse(name) for name in WRITTEN["major"]]

SEVENTHS = ("maj7", "7", "m7", "m7b5", "dim7", "m(maj7)", "maj7#5", "6", "m6", "7sus")


def scale(root, name="ionian"):
    return Scale.on(NoteName.parse(root), name)


def chord(text):
    return read_symbol(text).chord


def frets(shape):
    return tuple(mark.fret for mark in shape.marks)


def sounds(shape):
    return [pitch_at(shape.tuning, *mark.place) for mark in shape.marks]


def test_g_major_in_position_ii():
    # Handbook fingering, common practice, no source: fingers string by string from low G to high G.
    marks = in_position("G major", scale("G"), 2).marks
    inside = [mark for mark in marks if 43 <= mark.pitch.midi <= 67]
    by_string = [[m.finger for m in inside if m.string == string] for string in range(6, 0, -1)]
    assert by_string == [[2, 4], [1, 2, 4], [1, 3, 4], [1, 3, 4], [2, 4], [1, 2]]
    assert (inside[0].pitch.midi, inside[-1].pitch.midi) == (43, 67)


def test_g_major_three_to_a_string():
    # Handbook shape, common practice, no source.
    shape = three_to_a_string("G major", scale("G"), 43)
    assert frets(shape) == (3, 5, 7, 3, 5, 7, 4, 5, 7, 4, 5, 7, 5, 7, 8, 5, 7, 8)
    assert [mark.finger for mark in shape.marks][:3] == [1, 2, 4]
    assert [mark.string for mark in shape.marks] == sorted([*range(1, 7)] * 3, reverse=True)


def test_root_position_triads_of_c_major():
    # Handbook shapes, common practice, no source.
    names = ("C", "Dm", "Em", "F", "G", "Am", "Bdim")
    rising, lowest = [], 0
    for name in names:
        found = voiced(name, chord(name), "triad", (3, 2, 1))
        in_root = [s for s in found if s.marks[0].degree.number == 1 and sounds(s)[0] > lowest]
        rising.append(frets(in_root[0]))
        lowest = sounds(in_root[0])[0]
    assert rising == [
        (5, 5, 3),
        (7, 6, 5),
        (9, 8, 7),
        (10, 10, 8),
        (12, 12, 10),
        (14, 13, 12),
        (16, 15, 13),
    ]


def test_drop_2_of_c_major_seventh():
    # Handbook shapes, common practice, no source.
    found = voiced("Cmaj7", chord("Cmaj7"), "drop 2", (4, 3, 2, 1))
    first_octave = [frets(shape) for shape in found if shape.marks[0].fret <= 12]
    assert first_octave == [(2, 4, 1, 3), (5, 5, 5, 7), (9, 9, 8, 8), (10, 12, 12, 12)]


@pytest.mark.parametrize("position", range(1, 13))
@pytest.mark.parametrize("name", ["ionian", "melodic minor", "harmonic minor"])
def test_a_scale_in_every_position_is_whole_and_under_the_hand(position, name):
    for root in KEYS:
        shape = in_position(name, Scale.on(root, name), position)
        sounding = sounds(shape)
        wanted = range(sounding[0], sounding[-1] + 1)
        pitch_classes = {(root.pitch_class + d.semitones) % 12 for d in SCALES[name]}
        assert sounding == [midi for midi in wanted if midi % 12 in pitch_classes]
        assert set(shape.frets) <= set(range(position - 1, position + 5))
        stretched = [m.pitch.midi for m in shape.marks if not position <= m.fret <= position + 3]
        if 1 < position < 12:  # open strings serve in I, and past the body a stretch may be easier
            assert tuple(stretched) == stretches(STANDARD, position, pitch_classes)
        for mark, midi in zip(shape.marks, sounding, strict=True):
            assert mark.pitch.midi == midi
            assert (mark.pitch.midi - root.pitch_class - mark.degree.semitones) % 12 == 0
            assert (mark.finger == 0) == (mark.fret == 0)


def close(pitches, dropped):
    """The voices with the lowest one put back an octave higher, if one was dropped."""
    return sorted([pitches[0] + 12, *pitches[1:]]) if dropped else list(pitches)


def assert_is_voiced(shape, text, voicing, strings):
    written, pitches = chord(text), sounds(shape)
    assert [mark.string for mark in shape.marks] == sorted(strings, reverse=True)
    assert pitches == sorted(pitches) == [mark.pitch.midi for mark in shape.marks]
    names = [mark.pitch.name for mark in shape.marks]
    assert names == [written.root.up(mark.degree) for mark in shape.marks]
    assert {m.degree.number for m in shape.marks} <= {d.number for d in written.degrees}
    assert len(set(names)) == len(names)
    assert min(shape.frets) >= 1
    assert len(shape.frets) <= 5
    if voicing == "shell":
        assert shape.marks[0].degree.number == 1
        assert {m.degree for m in shape.marks} == {d for d in written.essential if d.number != 5}
    else:
        raised = close(pitches, voicing.startswith("drop"))
        assert raised[-1] - raised[0] < 12
        if voicing.startswith("drop"):
            # The voice put back is the second or the third from the top, as the name has it.
            assert raised[-int(voicing[-1])] == pitches[0] + 12


STRING_SETS = {count: list(combinations(range(1, 7), count)) for count in (3, 4)}


@pytest.mark.parametrize("voicing", VOICINGS)
@pytest.mark.parametrize("quality", SEVENTHS)
def test_chord_shapes_are_what_their_names_say(voicing, quality):
    count = len(VOICINGS[voicing][0])
    for root, strings in product(("C", "F#", "Bb"), STRING_SETS[count]):
        for shape in voiced(root + quality, chord(root + quality), voicing, strings):
            assert_is_voiced(shape, root + quality, voicing, strings)


@pytest.mark.sweep
@pytest.mark.parametrize("root", WRITTEN["major"])
@pytest.mark.parametrize("voicing", VOICINGS)
def test_chord_shapes_in_every_key(voicing, root):
    count = len(VOICINGS[voicing][0])
    for quality, strings in product(SEVENTHS, STRING_SETS[count]):
        for shape in voiced(root + quality, chord(root + quality), voicing, strings):
            assert_is_voiced(shape, root + quality, voicing, strings)


@pytest.mark.parametrize("voicing", ["triad", "drop 2", "drop 3"])
def test_every_inversion_is_found_on_neighbouring_strings(voicing):
    for strings in ((3, 2, 1), (4, 3, 2), (5, 4, 3)) if voicing == "triad" else ((4, 3, 2, 1),):
        if voicing == "drop 3":
            strings = (6, 4, 3, 2)  # noqa: PLW2901 (its lowest voice is a string away)
        found = voiced("Gmaj7", chord("Gmaj7"), voicing, strings)
        assert {s.marks[0].degree for s in found} == set(chord("Gmaj7").essential[: len(strings)])


def test_over_the_neck_every_place_of_a_chord_is_marked():
    shape = over_the_neck("Am", chord("Am"))
    assert {mark.place for mark in shape.marks} == {
        (string, fret)
        for string in STANDARD.strings
        for fret in range(23)
        if pitch_at(STANDARD, string, fret) % 12 in {9, 0, 4}
    }
    assert {mark.finger for mark in shape.marks} == {None}


def test_what_a_diagram_leaves_silent():
    shape = voiced("C", chord("C"), "triad", (3, 2, 1))[0]
    assert shape.silent == (4, 5, 6)
    assert not shape.stretched


def test_shapes_that_are_not_there_say_why():
    with pytest.raises(CannotPlay, match="too few tones for a drop 2 shape"):
        voiced("C", chord("C"), "drop 2", (4, 3, 2, 1))
    with pytest.raises(CannotPlay, match="start from another note"):
        three_to_a_string("C major", scale("C"), 72)
