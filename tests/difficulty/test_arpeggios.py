"""Arpeggios in a position against a plain walk over the strings."""

from importlib.resources import files

import pytest

from chartkit.difficulty.arpeggios import arpeggios
from chartkit.difficulty.positions import POSITIONS
from chartkit.form import body
from chartkit.guitar.fretboard import STANDARD, Tuning
from chartkit.harmony import spans
from chartkit.reader import parse
from chartkit.theory.symbol import write_symbol

CHARTS = {
    path.name: parse(path.read_text(encoding="utf-8"), path.name).chart
    for path in files("chartkit.charts").iterdir()
    if path.name.endswith(".chart")
}
# Four strings a fifth apart leave gaps that six strings a fourth apart do not have.
FIFTHS = Tuning("fifths", (36, 43, 50, 57), 22)


def sounds(tuning, frets):
    """Every pitch on some frets, string by string."""
    return {string + fret for string in tuning.open_strings for fret in frets if fret >= 0}


def tones(chord):
    return {(chord.root.pitch_class + d.semitones) % 12 for d in chord.essential}


def plain_arpeggio(chord, position, tuning):
    """Missing pitch classes and stretched notes, by listing every note of the neck."""
    within = sounds(tuning, range(position - 1, position + 5))
    settled = sorted(
        p for p in sounds(tuning, range(position, position + 4)) if p % 12 in tones(chord)
    )
    missing = tones(chord) - {pitch % 12 for pitch in within}
    stretched = [
        pitch
        for pitch in sorted(within)
        if pitch % 12 in tones(chord) and pitch not in settled
        if settled and settled[0] < pitch < settled[-1]
    ]
    return missing, stretched


@pytest.mark.parametrize("tuning", [STANDARD, FIFTHS], ids=lambda tuning: tuning.name)
@pytest.mark.parametrize("position", POSITIONS)
def test_arpeggios_are_those_of_a_plain_walk_over_the_strings(tuning, position):
    for chart in CHARTS.values():
        music = spans(body(chart), loop=True)
        for one in arpeggios(music, position, tuning):
            missing, stretched = plain_arpeggio(one.chord, position, tuning)
            assert {name.pitch_class for name in one.missing} == missing
            assert [pitch.midi for pitch in one.stretches] == stretched
            assert {*map(str, one.missing)} <= {
                str(one.chord.root.up(d)) for d in one.chord.essential
            }


@pytest.mark.parametrize("position", POSITIONS)
def test_on_six_strings_a_fourth_apart_nothing_is_missing(position):
    for chart in CHARTS.values():
        found = arpeggios(spans(body(chart), loop=True), position)
        assert found
        assert not any(one.missing for one in found)


def test_a_narrow_range_leaves_arpeggios_incomplete(music):
    # From G3 to C4 in position V there is no F, no D and no E.
    found = arpeggios(music("Dm7 | G7 | Cmaj7"), 5, low=55, high=60)
    assert [" ".join(map(str, one.missing)) for one in found] == ["D F", "D F", "E"]
    assert all(55 <= pitch.midi <= 60 for one in found for pitch in one.stretches)


@pytest.mark.parametrize("position", POSITIONS)
def test_stretches_beyond_a_range_do_not_count(position):
    music = spans(body(CHARTS["tram-change.chart"]), loop=True)
    everywhere = arpeggios(music, position)
    inside = arpeggios(music, position, low=55, high=62)
    for one, other in zip(everywhere, inside, strict=True):
        assert other.stretches == tuple(p for p in one.stretches if 55 <= p.midi <= 62)
    assert any(
        other.stretches != one.stretches for one, other in zip(everywhere, inside, strict=True)
    )


def test_one_arpeggio_a_chord_whatever_its_tensions(music):
    found = arpeggios(music("G7 | G9 | G7/B | C6 | N.C."), 5)
    assert [write_symbol(one.chord) for one in found] == ["G7", "C6"]
