"""Scales and their figures, read off the line and checked apart from how it was made."""

from fractions import Fraction
from itertools import pairwise, product

import pytest

from chartkit.errors import CannotPlay, RequestError
from chartkit.guitar.tunings import TUNINGS
from chartkit.instrument import GUITAR, INSTRUMENTS, fretted
from chartkit.technique.diatonic import FAMILIES
from chartkit.technique.figures import FIGURES, SCALE, read_figure
from chartkit.technique.scales import Where, scales
from chartkit.theory.key import WRITTEN, Key
from chartkit.theory.pitch import NoteName

STEPS = {
    "major": (0, 2, 4, 5, 7, 9, 11),
    "melodic minor": (0, 2, 3, 5, 7, 9, 11),
    "harmonic minor": (0, 2, 3, 5, 7, 8, 11),
}


def in_position(position):
    return Where(position, GUITAR.low, GUITAR.high)


def key(tonic, family="major"):
    return Key(NoteName.parse(tonic), FAMILIES[family].mode)


def numbers(pitches, tonic, family):
    """Scale steps above the tonic nearest C-1, for each pitch."""
    home = NoteName.parse(tonic).pitch_class
    return [(p - home) // 12 * 7 + STEPS[family].index((p - home) % 12) for p in pitches]


def assert_is_a_scale(heard, tonic, family):
    steps = numbers(heard.pitches, tonic, family)
    assert all(abs(a - b) == 1 for a, b in pairwise(steps))
    assert steps[0] % 7 == steps[-1] % 7 == 0
    assert steps[0] == steps[-1]
    turns = [b for a, b, c in zip(steps, steps[1:], steps[2:], strict=False) if a == c]
    assert set(turns) <= {min(steps), max(steps)}
    assert len(turns) <= 2


def assert_is_a_figure(heard, figure, tonic, family):
    steps = numbers(heard.pitches, tonic, family)
    size = len(figure.numbers)
    groups = [tuple(steps[n : n + size]) for n in range(0, len(steps), size)]
    if len(groups[-1]) < size:  # home
        assert groups.pop() == (steps[0],)
    up = [tuple(g[0] + n - 1 for n in figure.numbers) == g for g in groups]
    down = [tuple(g[-1] + n - 1 for n in figure.numbers[::-1]) == g for g in groups]
    assert all(a or b for a, b in zip(up, down, strict=True))
    assert up[0]
    assert steps[0] % 7 == steps[-1] % 7 == 0


@pytest.mark.parametrize("position", [1, 2, 5, 7, 12])
@pytest.mark.parametrize("figure", FIGURES.values(), ids=lambda f: f.name)
def test_scales_in_position(passages, position, figure):
    for family, tonic in product(FAMILIES, ("C", "Eb", "A")):
        made = scales([key(tonic, family)], FAMILIES[family], figure, GUITAR, in_position(position))
        assert_is_right(passages(made), figure, tonic, family)


@pytest.mark.sweep
@pytest.mark.parametrize("position", range(1, 13))
@pytest.mark.parametrize("family", FAMILIES)
def test_scales_in_every_position_and_key(passages, position, family):
    rows = product(WRITTEN[FAMILIES[family].mode], FIGURES.values(), VALUES)
    for tonic, figure, value in rows:
        made = scales(
            [key(tonic, family)],
            FAMILIES[family],
            figure,
            GUITAR,
            in_position(position),
            value=value,
        )
        assert_is_right(passages(made), figure, tonic, family)


VALUES = [Fraction(2), Fraction(1), Fraction(1, 2), Fraction(1, 3), Fraction(1, 4)]


def assert_is_right(found, figure, tonic, family):
    assert_is_a_scale(found[0], tonic, family)
    assert len(found) == (1 if figure == SCALE else 2)
    if figure != SCALE:
        assert_is_a_figure(found[1], figure, tonic, family)
        assert bool(found[1].chords) == figure.breaks_a_chord


def test_a_figure_that_breaks_chords_names_them(passages):
    made = scales([key("C")], FAMILIES["major"], FIGURES["triads"], GUITAR, in_position(5))
    triads = passages(made)[1]
    sounding = [chord.pitch_classes for chord in triads.chords]
    groups = [triads.pitches[n : n + 3] for n in range(0, len(triads.pitches), 3)]
    played = [{pitch % 12 for pitch in group} for group in groups]
    assert [set(chord) for chord in sounding[: len(played) - 1]] == played[:-1]


def test_three_notes_a_string(passages):
    where = Where(None, GUITAR.low, GUITAR.high)
    made = scales([key("G")], FAMILIES["major"], SCALE, GUITAR, where)
    heard = passages(made)[0]
    assert heard.pitches[0] == min(heard.pitches) == 43
    assert len(set(heard.pitches)) == 18
    stops = made.fingering.stops[:18]
    # Handbook shape, common practice, no source.
    assert [stop.fret for stop in stops[:6]] == [3, 5, 7, 3, 5, 7]


@pytest.mark.parametrize("row", INSTRUMENTS.values(), ids=lambda row: row.name)
def test_other_instruments(passages, row):
    where = Where(3 if row.tuning else None, row.low, row.high)
    made = scales([key("F")], FAMILIES["major"], FIGURES["thirds"], row, where)
    found = passages(made)
    assert_is_a_scale(found[0], "F", "major")
    assert row.low <= min(found[0].pitches) <= max(found[0].pitches) <= row.high


@pytest.mark.parametrize("tuning", TUNINGS.values(), ids=lambda tuning: tuning.name)
def test_other_tunings(passages, tuning):
    row = fretted("own", tuning, "treble")
    made = scales([key("D")], FAMILIES["major"], SCALE, row, Where(2, row.low, row.high))
    assert_is_a_scale(passages(made)[0], "D", "major")


def test_several_keys_follow_each_other(passages):
    keys = [key(tonic) for tonic in ("C", "F", "Bb")]
    made = scales(keys, FAMILIES["major"], FIGURES["1235"], GUITAR, in_position(5))
    labels = [heard.label for heard in passages(made)]
    assert labels == ["C major", "1235", "F major", "1235", "Bb major", "1235"]
    assert {span.key for span in made.line.spans} == set(keys)


def test_what_does_not_fit_says_why():
    narrow = Where(None, 60, 66)
    with pytest.raises(CannotPlay, match="do not fit"):
        scales([key("C")], FAMILIES["major"], read_figure("18"), INSTRUMENTS["flute"], narrow)
    with pytest.raises(RequestError, match="no position 25"):
        scales([key("C")], FAMILIES["major"], SCALE, GUITAR, in_position(25))


@pytest.mark.parametrize(
    ("name", "subtitle"),
    [
        ("guitar", "Position III"),
        ("ukulele", "Ukulele, position III"),
        ("flute", "Flute"),
        ("trumpet", "Trumpet, keys by their sound"),
    ],
)
def test_the_subtitle_tells_who_plays_and_where(name, subtitle):
    row = INSTRUMENTS[name]
    where = Where(3 if row.tuning else None, row.low, row.high)
    assert scales([key("C")], FAMILIES["major"], SCALE, row, where).subtitle == subtitle
