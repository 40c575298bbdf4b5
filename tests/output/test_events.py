"""Notes in sample frames: the nearest block to their exact time, whatever the tempo does."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.output.events import clock, piece
from chartkit.output.player import BLOCK, CHANNELS
from chartkit.track import GRID, TempoMap

RATE = 44_100

DRAWN = settings(derandomize=True, max_examples=200, deadline=None)

tempos = st.fractions(30, 400, max_denominator=100)


@st.composite
def tempo_maps(draw):
    beats = draw(st.lists(st.fractions(0, 64, max_denominator=12), unique=True, max_size=4))
    return TempoMap(
        tuple((beat, draw(tempos)) for beat in (Fraction(0), *sorted(beats)) if beat >= 0)
    )


@DRAWN
@given(tempo_maps(), st.integers(-8, 8), st.lists(st.integers(-8 * GRID, 64 * GRID), min_size=1))
def test_every_note_begins_at_the_block_nearest_to_its_time(tempo, first, ticks):
    at = clock(tempo, RATE, Fraction(first))
    for tick in ticks:
        beat = Fraction(tick, GRID)
        exact = (tempo.seconds(beat) - tempo.seconds(Fraction(first))) * RATE
        assert abs(at(tick) * BLOCK - exact) <= Fraction(BLOCK, 2)


def test_nothing_drifts_over_an_hour(note, performance):
    # a MIDI file's tempo at 140 is 428,571 microseconds: 3.6 ms late after an hour
    beats = 140 * 60
    music = performance({"line": [note(beats - 1, 1, 60)]}, beats, tempo=140)
    [strike] = piece(music, RATE).body.strikes
    assert abs(strike.start * BLOCK - (beats - 1) * 60 * RATE / 140) <= BLOCK / 2
    assert piece(music, RATE).frames == 3600 * RATE


def test_a_tempo_ladder_is_exact(performance):
    ladder = tuple((Fraction(16 * step), Fraction(100 + 7 * step)) for step in range(10))
    music = performance({}, 160, tempo=100, loop=True)
    music = replace(music, tempo=TempoMap(ladder))
    exact = sum(Fraction(16 * 60 * RATE) / tempo for _, tempo in ladder)
    assert piece(music, RATE).frames == round(exact)


def test_parts_have_channels_of_their_own(four_bars):
    strikes = piece(four_bars(("bass", "chords", "drums", "line")), RATE).body.strikes
    assert {strike.channel for strike in strikes} == {
        CHANNELS[part] for part in ("bass", "chords", "drums", "line")
    }
    assert len(set(CHANNELS.values())) == len(CHANNELS)


def test_the_shortest_note_lasts_a_block(note, performance):
    music = performance({"drums": [note(1, Fraction(1, GRID), 51)]}, 4, tempo=400)
    [strike] = piece(music, RATE).body.strikes
    assert strike.end == strike.start + 1


@pytest.mark.parametrize("start", [0, -4])
def test_notes_over_the_seam_are_in_the_round_and_in_the_count_in(note, performance, start):
    music = performance(
        {"chords": [note("-1/2", 1, 60)]}, 4, tempo=120, loop=True, start=Fraction(start)
    )
    played = piece(music, RATE)
    [strike] = played.body.strikes
    blocks = RATE / BLOCK
    assert (strike.start, strike.end) == (round(1.75 * blocks), round(2.25 * blocks))
    if start:
        [before] = played.lead_in.strikes
        assert before.start == round(1.75 * blocks)
    else:
        assert played.lead_in is None
