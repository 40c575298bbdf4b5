"""Scales, against music21's pitches and handbook chords."""

import pytest

from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree, NoteName
from chartkit.theory.scale import SCALES, Scale
from chartkit.theory.symbol import write_symbol

TONICS = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]


def others():
    """Return music21's makers of the same scales, with the step of the parent they start on."""
    from music21 import scale

    major, melodic, harmonic = scale.MajorScale, scale.MelodicMinorScale, scale.HarmonicMinorScale
    modes = ["ionian", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "locrian"]
    return {
        **{name: (major, step) for step, name in enumerate(modes)},
        **{
            name: (melodic, step)
            for name, step in {
                "melodic minor": 0,
                "lydian augmented": 2,
                "lydian dominant": 3,
                "mixolydian b6": 4,
                "locrian natural 2": 5,
                "altered": 6,
            }.items()
        },
        "harmonic minor": (harmonic, 0),
        "phrygian dominant": (harmonic, 4),
        "whole tone": (scale.WholeToneScale, 0),
        "whole-half": (scale.OctatonicScale, 0),
        "half-whole": (scale.OctatonicScale, 1),
    }


def other_steps(maker, step):
    """Return the semitones above a step of a scale that music21 makes, rising."""
    from music21.scale import Direction

    pitches = maker("C").getPitches("C3", "C5", direction=Direction.ASCENDING)
    classes = [pitch.pitchClass for pitch in pitches]
    count = len(set(classes))
    return sorted((pitch - classes[step]) % 12 for pitch in classes[step : step + count])


@pytest.mark.parametrize("name", SCALES)
def test_a_scale_has_the_pitches_of_the_handbooks(name):
    assert [degree.semitones for degree in SCALES[name]] == other_steps(*others()[name])


# Common practice, no source.
@pytest.mark.parametrize(
    ("name", "steps"),
    [
        ("lydian dominant", [0, 2, 4, 6, 7, 9, 10]),
        ("altered", [0, 1, 3, 4, 6, 8, 10]),
        ("half-whole", [0, 1, 3, 4, 6, 7, 9, 10]),
    ],
)
def test_sets_that_players_know_by_heart(name, steps):
    assert [degree.semitones for degree in SCALES[name]] == steps


@pytest.mark.parametrize("name", SCALES)
@pytest.mark.parametrize("tonic", TONICS)
def test_a_scale_moves_with_its_root(name, tonic):
    scale, home = Scale.on(NoteName.parse(tonic), name), Scale.on(NoteName("C"), name)
    moved = {(pitch + scale.root.pitch_class) % 12 for pitch in home.pitch_classes}
    assert scale.pitch_classes == moved
    assert {tone.pitch_class for tone in scale.tones} == moved


def test_a_scale_is_spelled_by_its_degrees():
    assert " ".join(map(str, Scale.on(NoteName("A"), "harmonic minor").tones)) == "A B C D E F G#"
    assert " ".join(map(str, Scale.on(NoteName("G"), "altered").tones)) == "G Ab A# B C# Eb F"


# Handbook tables of the diatonic seventh chords of A harmonic and A melodic minor.
@pytest.mark.parametrize(
    ("name", "chords"),
    [
        ("harmonic minor", "Am(maj7) Bm7b5 Cmaj7#5 Dm7 E7 Fmaj7 G#o7"),
        ("melodic minor", "Am(maj7) Bm7 Cmaj7#5 D7 E7 F#m7b5 G#m7b5"),
    ],
)
def test_thirds_stacked_on_a_scale_are_the_diatonic_sevenths(name, chords):
    tones = Scale.on(NoteName("A"), name).tones
    stacked = [tuple(tones[(step + third) % 7] for third in (0, 2, 4, 6)) for step in range(7)]
    assert " ".join(write_symbol(as_chord(*four)) for four in stacked) == chords


def as_chord(*tones):
    """Return the seventh chord of four spelled tones."""
    root = tones[0]
    numbers = zip(tones, (1, 3, 5, 7), strict=True)
    return Chord(root, tuple(degree_between(root, tone, number) for tone, number in numbers))


def degree_between(root, tone, number):
    plain = root.up(Degree(number)).pitch_class
    return Degree(number, (tone.pitch_class - plain + 6) % 12 - 6)
