"""Passes that are to sound alike."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from chartkit import band
from chartkit.arrange import arrange
from chartkit.controls.ladder import Ladder
from chartkit.feel import FEELS
from chartkit.reader import parse, read
from chartkit.take import BAND, Take
from chartkit.timing import perform

CHARTS = {
    path.stem: chart
    for path in sorted((Path(__file__).parents[2] / "charts").glob("*.chart"))
    if FEELS[(chart := read(str(path))).feel].built and chart.solos is None
}


def bars(track, one):
    """A pass's bars, each as its notes counted from its own first beat."""
    first, end = one.start + one.opening, one.end - one.closing
    starts = sorted({span.bar_start for span in one.spans if first <= span.bar_start < end})
    return [
        [
            (n.start - start, n.length, n.pitch, n.velocity)
            for n in track.notes
            if start <= n.start < after
        ]
        for start, after in pairwise([*starts, end])
    ]


def shared(track, one, other):
    left, right = bars(track, one), bars(track, other)
    return sum(a == b for a, b in zip(left, right, strict=False)) / max(len(left), len(right))


@pytest.mark.parametrize("name", [*CHARTS])
def test_middle_choruses_are_the_same_and_the_others_as_far_as_they_can(name):
    music = arrange(Take(CHARTS[name], times=4, loop=False, same=True))
    assert len({one.intensity for one in music.passes}) == 1
    for track in band.play(music, BAND, 3):
        _, two, three, _ = music.passes
        assert shared(track, two, three) >= 1 - 1 / len(bars(track, two))
        assert shared(track, *music.passes[:2]) >= 2 / 3


def test_without_the_option_no_chorus_is_like_another():
    music = arrange(Take(CHARTS["twelve-spoons"], times=3, loop=False))
    bass = band.play(music, ("bass",), 3)[0]
    assert shared(bass, *music.passes[:2]) < 1 / 2


def test_a_loop_with_a_ladder_is_the_same_note_for_note_at_every_tempo():
    ladder = Ladder(Fraction(20), Fraction(180))
    music = arrange(
        Take(CHARTS["twelve-spoons"], times=4, same=True, tempo=Fraction(120), ladder=ladder)
    )
    for track in band.play(music, BAND, 3):
        first, *others = music.passes
        assert all(shared(track, first, other) == 1 for other in others)


@pytest.mark.parametrize("name", [*CHARTS][::2])
@pytest.mark.parametrize("keys", [0, 5])
def test_the_bass_goes_over_from_one_version_to_another_as_it_should(name, keys):
    """Where new chords come, their bass note is struck; no leap is wider than an octave."""
    music = arrange(Take(CHARTS[name], times=4, loop=False, same=True, keys=keys))
    for seed in range(3):
        (bass,) = band.play(music, ("bass",), seed)
        assert [*bass.notes] == sorted(bass.notes)
        at = {note.start: note.pitch for note in bass.notes}
        assert len(at) == len(bass.notes)
        for span in music.spans:
            place = span.start - Fraction(1, 2) if span.pushed else span.start
            if span.new and span.chord and place in at:
                assert at[place] % 12 == span.chord.lowest.pitch_class
        assert all(abs(a.pitch - b.pitch) <= 12 for a, b in pairwise(bass.notes))
        assert all(a.end <= b.start for a, b in pairwise(bass.notes))


def test_leaving_a_part_out_changes_no_other():
    music = arrange(Take(CHARTS["twelve-spoons"], times=3, loop=False, same=True))
    every = {track.part: track for track in band.play(music, BAND, 3)}
    assert every["bass"] == band.play(music, ("bass",), 3)[0]


def test_alike_to_the_tick_in_performance():
    text = "Key: C\n[A]\n| C6 | Am7 | Dm7 | G7 |"
    chart = parse(text, "test.chart").chart
    music = arrange(Take(chart, times=5, loop=False, same=True))
    heard = perform(music, band.play(music, BAND, 1), 1)
    _, second, third, *_ = music.passes
    for track in heard.tracks:
        two, three = (
            [
                replace(note, start=note.start - one.start)
                for note in track.notes
                if one.start + 1 <= note.start < one.end - 1
            ]
            for one in (second, third)
        )
        assert [(n.start, n.length, n.pitch) for n in two] == [
            (n.start, n.length, n.pitch) for n in three
        ]
        # Neighbours are kept from being equally loud, so a difference may run on.
        assert all(abs(a.velocity - b.velocity) <= 2 for a, b in zip(two, three, strict=True))
