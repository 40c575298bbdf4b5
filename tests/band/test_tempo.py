"""A slow ballad and a fast swing, each as it should be, and what lies outside a feel's band.

Lengths of short notes, ratios: tests/band/test_feels.py has the published figures. The rest:
common practice, no source.
"""

from fractions import Fraction
from itertools import groupby, pairwise
from operator import attrgetter

import pytest
from drum_rules import HAT, RIDE

from chartkit import band
from chartkit.arrange import arrange
from chartkit.band.kit import KEYS
from chartkit.controls.ladder import Ladder
from chartkit.feel import FEELS
from chartkit.reader import parse
from chartkit.take import Take
from chartkit.tempos import tempo_warning
from chartkit.timing import perform

EIGHT = "| Cmaj7 | A7 | Dm7 | G7 |\n| Em7 A7 | Dm7 G7 | Cmaj7 A7 | Dm7 G7 |"
BARS, TIMES = 8, 12


def played(feel, tempo):
    chart = parse(f"Feel: {feel}\n\n[A]\n{EIGHT}\n", "test.chart").chart
    take = Take(chart, tempo=Fraction(tempo), times=TIMES, seed=4)
    assert tempo_warning(take) is None
    music = arrange(take)
    tracks = band.play(music, ("bass", "chords", "drums"), take.seed)
    return tracks, perform(music, tracks, take.seed).tracks


def seconds(beats, tempo):
    return float(beats * 60 / tempo)


def chords_of(track):
    return [[*group] for _, group in groupby(track.notes, key=attrgetter("start"))]


def per_bar(count):
    return count / (BARS * TIMES)


def mean(values):
    values = [*values]
    return sum(values) / len(values)


def test_a_ballad_at_56():
    """Long bass notes, sparse and sustained chords, brushes, the hat on two and four."""
    (bass, chords, drums), (_, _, heard) = played("ballad", 56)
    assert 2 <= per_bar(len(bass.notes)) <= 3
    assert mean(note.length for note in bass.notes) > 1.3
    assert per_bar(len(chords_of(chords))) <= 2.2
    assert mean(group[0].length for group in chords_of(chords)) > 1.2
    assert drums.program == 40  # the brush kit, General MIDI 2
    swirls = sum(note.pitch == KEYS["swirl"] for note in drums.notes)
    assert per_bar(swirls) >= 1.5
    assert {note.start % 4 for note in drums.notes if note.pitch == HAT} == {1, 3}
    assert mean(note.velocity for note in drums.notes) < 62
    off = [n.start % 1 for n in heard.notes if Fraction(2, 5) < n.start % 1 < Fraction(9, 10)]
    assert 0.5 < mean(off) <= 0.7  # a ratio of 2.3 is a place of 0.697


def test_swing_at_280():
    """A note on every beat and little more, light chords, straight off-beats, nothing too quick."""
    (bass, chords, drums), (walked, _, heard) = played("swing", 280)
    on_beats = {note.start for note in bass.notes if note.start.denominator == 1}
    assert len(on_beats) == 4 * BARS * TIMES
    assert per_bar(len(bass.notes)) < 4.6
    assert all(note.start.denominator < 3 for track in (bass, drums) for note in track.notes)
    slower, _ = played("swing", 150)
    assert len(chords_of(chords)) < 0.9 * len(chords_of(slower[1]))
    rides = sorted({note.start for note in heard.notes if note.pitch == RIDE})
    quickest = min(seconds(two - one, 280) for one, two in pairwise(rides))
    assert quickest > 0.06
    off = [float(at % 1) for at in rides if 0.4 < at % 1 < 0.9]
    assert 1.1 <= mean(off) / (1 - mean(off)) <= 1.9
    assert min(seconds(note.length, 280) for note in walked.notes) > 0.02


@pytest.mark.parametrize("feel", FEELS)
def test_a_tempo_outside_a_feels_band_warns_and_a_ladder_never_does(feel):
    row = FEELS[feel]
    meter = row.meters[0]
    chart = parse(f"Meter: {meter}\nFeel: {feel}\n\n[A]\n| Dm7 | G7 |\n", "test.chart").chart
    for tempo, warns in (
        (row.slowest - 1, True),
        (row.slowest, False),
        (row.fastest, False),
        (row.fastest + 1, True),
    ):
        take = Take(chart, tempo=Fraction(tempo))
        told = tempo_warning(take)
        assert (told is not None) == warns
        assert told is None or f"{row.slowest}-{row.fastest}" in told
    ladder = Ladder(Fraction(5), Fraction(row.fastest + 40))
    assert tempo_warning(Take(chart, tempo=Fraction(row.slowest - 8), ladder=ladder)) is None
