"""Scales and their chords against music21, an independent library, in every key and family."""

import pytest
from music21 import pitch as library_pitch
from music21 import scale as library

from chartkit.technique.diatonic import FAMILIES, diatonic_chord, scale_of
from chartkit.theory.key import WRITTEN, Key
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import read_symbol, write_symbol

OTHERS = {
    "major": library.MajorScale,
    "melodic minor": library.MelodicMinorScale,
    "harmonic minor": library.HarmonicMinorScale,
}


def named(pitch):
    return pitch.name.replace("-", "b")


def others(family, tonic):
    made = OTHERS[family](library_pitch.Pitch(tonic.replace("b", "-")))
    rising = made.getPitches(direction=library.Direction.ASCENDING)
    return [named(pitch) for pitch in rising[:7]]


EVERY = [(family, tonic) for family, row in FAMILIES.items() for tonic in WRITTEN[row.mode]]


@pytest.mark.parametrize(("family", "tonic"), EVERY)
def test_spelling_of_every_scale_and_chord(family, tonic):
    row = FAMILIES[family]
    scale = scale_of(Key(NoteName.parse(tonic), row.mode), row)
    names = others(family, tonic)
    assert [str(tone) for tone in scale.tones] == names
    for voices in (3, 4):
        for step in range(7):
            chord = diatonic_chord(scale, step, voices)
            assert read_symbol(write_symbol(chord)).chord == chord
            stacked = [names[(step + 2 * n) % 7] for n in range(voices)]
            if names[step].count("#") < 2:
                assert [str(tone) for tone in chord.tones] == stacked
            sounding = [NoteName.parse(name).pitch_class for name in stacked]
            assert [tone.pitch_class for tone in chord.tones] == sounding


@pytest.mark.parametrize(
    ("family", "symbols"),
    [
        # Diatonic sevenths of the minor scales, common practice, no source.
        ("harmonic minor", "Am(maj7) Bm7b5 Cmaj7#5 Dm7 E7 Fmaj7 G#dim7"),
        ("melodic minor", "Am(maj7) Bm7 Cmaj7#5 D7 E7 F#m7b5 G#m7b5"),
    ],
)
def test_sevenths_of_the_minor_scales(family, symbols):
    scale = scale_of(Key(NoteName("A"), "minor"), FAMILIES[family])
    written = [read_symbol(symbol).chord for symbol in symbols.split()]
    assert [diatonic_chord(scale, step, 4) for step in range(7)] == written
