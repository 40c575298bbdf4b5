"""Chords along the neck, read off the line and its fingering."""

from itertools import pairwise, product

import pytest

from chartkit.errors import CannotPlay, RequestError
from chartkit.instrument import GUITAR, INSTRUMENTS
from chartkit.technique.chords import KINDS, LOWEST, chords
from chartkit.technique.diatonic import FAMILIES, diatonic_chord, scale_of
from chartkit.theory.key import WRITTEN, Key
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import write_symbol


def key(tonic, family="major"):
    return Key(NoteName.parse(tonic), FAMILIES[family].mode)


def grouped(values, size):
    return [tuple(values[n : n + size]) for n in range(0, len(values), size)]


def assert_is_right(made, heard, kind, tonic, family):
    voices = 3 if kind.name in {"triads", "shells"} else 4
    groups = grouped(heard.pitches, voices)
    assert len(groups) == len(heard.chords) == 15
    up, down = groups[:8], groups[8:]
    assert all(list(g) == sorted(g) for g in up)
    assert all(list(g) == sorted(g, reverse=True) for g in down)
    assert [set(g) for g in down] == [set(g) for g in up[-2::-1]]
    assert all(a[0] < b[0] for a, b in pairwise(up))
    assert {p + 12 for p in up[0]} == set(up[-1])
    scale = scale_of(key(tonic, family), FAMILIES[family])
    diatonic = {diatonic_chord(scale, step, kind.tones) for step in range(7)}
    assert set(heard.chords) == diatonic
    for chord, group in zip(heard.chords, groups, strict=True):
        assert {p % 12 for p in group} <= chord.pitch_classes
        assert len({p % 12 for p in group}) == voices
    strings = [stop.string for stop in made.fingering.stops]
    assert set(strings) == set(kind.strings)
    if kind.voicing:
        assert all(g in (kind.strings, kind.strings[::-1]) for g in grouped(strings, voices))
        held = grouped(made.fingering.positions, voices)
        assert all(len(set(group)) == 1 for group in held)


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
@pytest.mark.parametrize("family", FAMILIES)
def test_every_kind_in_every_family(passages, kind, family):
    for tonic in ("C", "F#", "Bb") if family != "major" else ("C", "Gb", "Bb"):
        made = chords([key(tonic, family)], FAMILIES[family], kind, GUITAR)
        assert_is_right(made, passages(made)[0], kind, tonic, family)


@pytest.mark.sweep
@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
@pytest.mark.parametrize("family", FAMILIES)
def test_every_key_and_every_lowest_tone(passages, kind, family):
    there = 0
    for tonic, lowest in product(WRITTEN[FAMILIES[family].mode], LOWEST):
        try:
            made = chords([key(tonic, family)], FAMILIES[family], kind, GUITAR, lowest=lowest)
        except CannotPlay as told:
            assert "choose other strings" in str(told)  # noqa: PT017 (some do exist, counted below)
            continue
        there += 1
        assert_is_right(made, passages(made)[0], kind, tonic, family)
    assert there >= 12


def test_root_position_triads_of_c_major():
    # Handbook shapes, common practice, no source.
    made = chords([key("C")], FAMILIES["major"], KINDS["triads"], GUITAR)
    frets = grouped([stop.fret for stop in made.fingering.stops], 3)
    assert frets[:8] == [
        (5, 5, 3),
        (7, 6, 5),
        (9, 8, 7),
        (10, 10, 8),
        (12, 12, 10),
        (14, 13, 12),
        (16, 15, 13),
        (17, 17, 15),
    ]
    assert [write_symbol(s.chord) for s in made.line.spans[:3]] == ["C", "Dm", "Em"]


@pytest.mark.parametrize("tonic", WRITTEN["major"])
def test_no_key_is_sent_far_up_the_neck(tonic):
    made = chords([key(tonic)], FAMILIES["major"], KINDS["triads"], GUITAR)
    assert max(stop.fret for stop in made.fingering.stops) <= 17


def test_a_hand_that_holds_a_chord_does_not_move():
    made = chords([key("A")], FAMILIES["major"], KINDS["drop-2"], GUITAR)
    assert all(len(set(group)) == 1 for group in grouped(made.fingering.positions, 4)[:15])
    assert made.fingering.shifts <= 14


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"strings": (2, 1)}, "take 3 strings"),
        ({"strings": (8, 2, 1)}, "numbered 1 to 6"),
    ],
)
def test_strings_that_do_not_serve(more, told):
    with pytest.raises(RequestError, match=told):
        chords([key("C")], FAMILIES["major"], KINDS["triads"], GUITAR, **more)


def test_without_frets_there_are_no_shapes():
    with pytest.raises(RequestError, match="need frets"):
        chords([key("C")], FAMILIES["major"], KINDS["triads"], INSTRUMENTS["flute"])


def test_a_shape_that_is_not_there_says_why():
    with pytest.raises(CannotPlay, match="choose other strings"):
        chords([key("C")], FAMILIES["major"], KINDS["triads"], GUITAR, strings=(6, 3, 1))
