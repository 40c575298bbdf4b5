"""Guitar and piano, and the voicings that a player may ask for, on the charts (common practice)."""

import random
from itertools import groupby
from pathlib import Path

import pytest
from comping_rules import (
    check_chords,
    check_every_chord_is_struck,
    check_lengths,
    check_pushes_and_stops,
    check_rhythms,
    check_silence,
    check_velocities,
    chord_at,
    hits,
    voice_movement,
)

from chartkit.arrange import arrange
from chartkit.band.comping import play
from chartkit.band.hands import HANDS, hand_of
from chartkit.errors import CannotPlay
from chartkit.feel import FEELS, patterns
from chartkit.guitar.fretboard import STANDARD, pitch_at
from chartkit.guitar.grasp import grasp
from chartkit.guitar.shape import shapes
from chartkit.reader import read
from chartkit.take import Take
from chartkit.theory.families import NAMES, in_family
from chartkit.theory.voicing import RANGE

CHARTS = {
    path.stem: read(str(path))
    for path in sorted((Path(__file__).parents[2] / "charts").glob("*.chart"))
}
MOST = {"shell": 2.7, "rootless": 2.7, "drop 2": 2.5, "quartal": 2.5}
"""Semitones that a voice moves on average at most: two families leave the hand little choice."""


def comp(name, seed=0, **asked):
    arranged = arrange(Take(CHARTS[name], **asked))
    track = play(arranged, None, random.Random(seed))
    return arranged, track, hits(track)


@pytest.mark.parametrize("on", HANDS)
@pytest.mark.parametrize("family", [None, *NAMES])
@pytest.mark.parametrize("name", [*CHARTS][::4])
def test_every_rule_holds_on_either_with_any_voicings(name, family, on):
    arranged, track, played = comp(name, chords_on=on, voicings=family)
    check_chords(arranged, played)
    check_lengths(arranged, played)
    check_silence(arranged, played)
    check_every_chord_is_struck(arranged, played)
    check_pushes_and_stops(arranged, played)
    check_velocities(played)
    check_rhythms(arranged, played)
    assert voice_movement(played, around=True) <= MOST.get(family, 2.5)
    assert track.program in HANDS[on].kind
    assert all(HANDS[on].holds(hit.pitches) for hit in played)
    for hit in played:
        if family and (able := offered(arranged, hit, family, on)):
            assert hit.pitches in able


def offered(arranged, hit, family, on):
    """The voicings of a family for the chord that a strike belongs to."""
    span = chord_at(arranged, hit.start)
    every = in_family(family, span.chord, RANGE, span.scale, HANDS[on].holds)
    return {one.pitches for one in every}


@pytest.mark.parametrize("name", [*CHARTS][::3])
def test_a_guitarist_has_a_string_a_fret_and_a_finger_for_every_voice(name):
    _, _, played = comp(name, chords_on="guitar")
    for hit in played:
        held = [shape for shape in shapes(hit.pitches) if grasp(shape)]
        assert held
        for places in held:
            assert tuple(pitch_at(STANDARD, *place) for place in places) == hit.pitches
            assert len({string for string, _ in places}) == len(places)
            frets = [fret for _, fret in places]
            assert max(frets) - min(frets) <= 4
            assert len({*grasp(places)}) <= 4


def test_a_pianist_stays_within_a_tenth():
    for name in CHARTS:
        _, _, played = comp(name, chords_on="piano")
        assert all(hit.pitches[-1] - hit.pitches[0] <= 16 for hit in played)


def test_each_plays_what_is_usual_on_it():
    """Of all strikes on all charts, by the families that stand first for the instrument."""
    usual = {}
    for on in HANDS:
        struck = []
        for name in CHARTS:
            arranged, _, played = comp(name, chords_on=on)
            for hit in played:
                families = HANDS[on].families(chord_at(arranged, hit.start))
                struck.append(any(hit.pitches in offered(arranged, hit, f, on) for f in families))
        usual[on] = sum(struck) / len(struck)
    assert usual["guitar"] > 0.7
    assert usual["piano"] > 0.6


def test_the_feel_says_what_it_is_played_on_and_a_player_may_say_otherwise():
    for name, row in FEELS.items():
        own, program = hand_of(name, None)
        assert program == row.chords_program
        assert program in own.kind
        for asked in HANDS:
            hand, other = hand_of(name, asked)
            assert hand.name == asked
            assert other == (program if asked == own.name else hand.program)


@pytest.mark.parametrize("feel", FEELS)
def test_what_a_file_calls_usual_is_a_family_on_an_instrument(feel):
    for on, families in patterns(feel)["comping"].get("voicings", {}).items():
        assert on in HANDS
        assert {*families} <= {*NAMES}


def test_a_register_too_small_is_said_so(monkeypatch):
    monkeypatch.setattr("chartkit.band.comping.register", lambda _: (60, 63))
    with pytest.raises(CannotPlay, match="no room for"):
        comp(next(iter(CHARTS)))


def test_one_chord_instrument_through_a_change_of_feel():
    """There is one player: it is what the tune begins with, also where a section has another."""
    name = next(name for name, chart in CHARTS.items() if any(s.feel for s in chart.sections))
    arranged, track, _ = comp(name)
    feels = [feel for feel, _ in groupby(span.feel for span in arranged.spans)]
    assert len(feels) > 1
    assert track.program == FEELS[feels[0]].chords_program
