"""Figures are those of handbooks and standards, named at each check."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.guitar.fretboard import (
    STANDARD,
    Tuning,
    compass,
    fret_of,
    numeral,
    per_string,
    pitch_at,
    places,
    stretches,
    window,
)
from chartkit.theory.key import WRITTEN

drawn = settings(derandomize=True, max_examples=200, deadline=None)

MAJOR = (0, 2, 4, 5, 7, 9, 11)
KEYS = dict(zip(WRITTEN["major"], range(12), strict=True))

TUNINGS = [
    STANDARD,
    Tuning("drop D", (38, 45, 50, 55, 59, 64), 22),
    Tuning("seven strings", (35, 40, 45, 50, 55, 59, 64), 24),
    Tuning("bass", (28, 33, 38, 43), 20),
    Tuning("a high fourth string", (67, 60, 64, 69), 15),
]


def major(tonic):
    return {(KEYS[tonic] + step) % 12 for step in MAJOR}


def test_open_strings_sound_at_their_frequencies():
    # ISO 16: A4 (MIDI 69) = 440 Hz; equal temperament gives the six strings' frequencies.
    hertz = [round(440 * 2 ** ((pitch_at(STANDARD, s, 0) - 69) / 12), 3) for s in range(6, 0, -1)]
    assert hertz == [82.407, 110.0, 146.832, 195.998, 246.942, 329.628]


def test_the_top_note_is_86():
    assert pitch_at(STANDARD, 1, 22) == 86
    assert compass(STANDARD) == (40, 86)


@drawn
@given(st.sampled_from(TUNINGS), st.integers(20, 100))
def test_places_and_pitch_are_inverses(tuning, pitch):
    found = places(tuning, pitch)
    neck = {(s, f) for s in tuning.strings for f in range(tuning.frets + 1)}
    assert set(found) == {place for place in neck if pitch_at(tuning, *place) == pitch}
    assert all(fret_of(tuning, string, pitch) == fret for string, fret in found)
    assert list(found) == sorted(found)


@pytest.mark.parametrize(("string", "fret"), [(0, 3), (7, 3), (1, 23), (1, -1)])
def test_off_the_neck_there_is_no_pitch(string, fret):
    with pytest.raises(ValueError, match=f"no string {string} with fret {fret}"):
        pitch_at(STANDARD, string, fret)


def test_places_within_some_frets():
    assert places(STANDARD, 64, range(4, 10)) == ((2, 5), (3, 9))
    assert places(STANDARD, 64, ()) == ()


@pytest.mark.parametrize("position", range(1, 20))
def test_compass_of_a_position_is_what_its_window_holds(position):
    held = {pitch_at(STANDARD, s, f) for s in STANDARD.strings for f in window(position) if f <= 22}
    assert compass(STANDARD, position) == (min(held), max(held))
    # No note is missing inside: neighbouring strings lie less than six frets apart.
    assert held == set(range(min(held), max(held) + 1))


@pytest.mark.parametrize("position", range(1, 13))
@pytest.mark.parametrize("tonic", KEYS)
def test_every_major_scale_is_unbroken_in_every_position(position, tonic):
    low, high = compass(STANDARD, position)
    scale = [pitch for pitch in range(low, high + 1) if pitch % 12 in major(tonic)]
    assert all(places(STANDARD, pitch, window(position)) for pitch in scale)


# Stretches of each major key [common practice, counted by hand on a neck diagram].
POSITION_V = {0: "F Bb", 1: "C Eb", 2: "G Ab", 3: "Db D", 4: "E Gb A B"}
POSITION_VII = {0: "C G", 1: "D F", 2: "A Bb", 3: "Eb E", 4: "Db Gb Ab B"}


@pytest.mark.parametrize(("position", "figures"), [(5, POSITION_V), (7, POSITION_VII)])
def test_stretches_of_every_key(position, figures):
    expected = {tonic: count for count, keys in figures.items() for tonic in keys.split()}
    assert expected.keys() == KEYS.keys()
    counted = {tonic: len(stretches(STANDARD, position, major(tonic))) for tonic in KEYS}
    assert counted == expected


@pytest.mark.parametrize("position", range(1, 13))
@pytest.mark.parametrize("tonic", KEYS)
def test_stretches_are_those_of_a_plain_walk_over_the_strings(position, tonic):
    by_pitch = {}
    for low in (40, 45, 50, 55, 59, 64):
        for fret in range(position - 1, position + 5):
            by_pitch.setdefault(low + fret, set()).add(fret)
    scale = {pitch: frets for pitch, frets in by_pitch.items() if pitch % 12 in major(tonic)}
    easy = [p for p, frets in scale.items() if frets & set(range(position, position + 4))]
    wanted = sorted(p for p in scale if p not in easy and min(easy) < p < max(easy))
    assert list(stretches(STANDARD, position, major(tonic))) == wanted
    # The counts of position V, so many semitones away.
    moved = [name for name, pc in KEYS.items() if (pc - KEYS[tonic] + position - 5) % 12 == 0]
    (count,) = (n for n, names in POSITION_V.items() if moved[0] in names.split())
    assert len(wanted) == count


@drawn
@given(st.integers(1, 14), st.sets(st.integers(0, 11), min_size=2))
def test_one_fret_up_is_a_semitone_up(position, pitch_classes):
    here = stretches(STANDARD, position, pitch_classes)
    raised = {(pitch_class + 1) % 12 for pitch_class in pitch_classes}
    assert stretches(STANDARD, position + 1, raised) == tuple(pitch + 1 for pitch in here)


@drawn
@given(st.integers(1, 12), st.sets(st.integers(0, 11)))
def test_stretches_lie_on_the_outer_frets_only(position, pitch_classes):
    for pitch in stretches(STANDARD, position, pitch_classes):
        frets = {fret for _, fret in places(STANDARD, pitch, window(position))}
        assert frets
        assert frets <= {position - 1, position + 4}


def test_three_notes_a_string_from_low_g():
    scale = [pitch for pitch in range(43, 73) if pitch % 12 in major("G")][:18]
    shape = per_string(STANDARD, scale, 3)
    assert [string for row in shape for string, _ in row] == sorted([6, 5, 4, 3, 2, 1] * 3)[::-1]
    # Handbook shape [common practice, no source].
    frets = [tuple(fret for _, fret in row) for row in shape]
    assert frets == [(3, 5, 7), (3, 5, 7), (4, 5, 7), (4, 5, 7), (5, 7, 8), (5, 7, 8)]


@pytest.mark.parametrize("tonic", KEYS)
def test_a_shape_sounds_the_scale_it_was_made_from(tonic):
    scale = [pitch for pitch in range(40, 80) if pitch % 12 in major(tonic)][:18]
    shape = per_string(STANDARD, scale, 3)
    assert [pitch_at(STANDARD, *place) for row in shape for place in row] == scale


@pytest.mark.parametrize(
    ("pitches", "count"),
    [
        (range(43, 62), 3),  # more notes than six strings take
        ([30, 32, 33], 3),  # below the lowest string
        ([40, 41, 43, 41], 3),  # the fourth lies below the fifth string
    ],
)
def test_a_shape_that_does_not_exist(pitches, count):
    with pytest.raises(ValueError, match=f"do not lie {count} to a string"):
        per_string(STANDARD, list(pitches), count)


def test_numerals():
    # Roman numerals; checked against the table everyone learns.
    table = "I II III IV V VI VII VIII IX X XI XII XIII XIV XV XVI XVII XVIII XIX XX XXI XXII"
    assert [numeral(position) for position in range(1, 23)] == table.split()
