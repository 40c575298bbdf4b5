"""The tempos of a ladder, against a loop that climbs it step by step."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit import make
from chartkit.controls.ladder import Ladder
from chartkit.errors import RequestError
from chartkit.reader import parse
from chartkit.take import Take

tempos = st.integers(60, 800).map(lambda halves: Fraction(halves, 2))
steps = st.integers(1, 60).map(lambda halves: Fraction(halves, 2))


def climbed(first, by, up_to, every, times):
    """The tempo of each time round, counted on the fingers."""
    now, played = first, 0
    for _ in range(times):
        yield now
        played += 1
        if played == every:
            now, played = min(now + by, up_to), 0


@pytest.mark.parametrize(
    ("ladder", "first", "tempos"),
    [
        (Ladder(Fraction(10), Fraction(130)), 100, [100, 110, 120, 130, 130]),
        (Ladder(Fraction(15), Fraction(140)), 100, [100, 115, 130, 140, 140]),
        (Ladder(Fraction(20), Fraction(140), 2), 100, [100, 100, 120, 120, 140, 140, 140]),
        (Ladder(Fraction(5), Fraction(100)), 100, [100, 100]),
    ],
)
def test_tempos_by_hand(ladder, first, tempos):
    assert [ladder.tempo(Fraction(first), n) for n in range(1, len(tempos) + 1)] == tempos


@given(tempos, steps, steps, st.integers(1, 5))
@settings(derandomize=True, max_examples=200, deadline=None)
def test_it_climbs_as_by_hand_and_takes_as_long_as_it_says(first, by, height, every):
    ladder = Ladder(by, first + height, every)
    times = ladder.times(first)
    own = [ladder.tempo(first, number) for number in range(1, times + 3)]
    assert own == [*climbed(first, by, first + height, every, times + 2)]
    assert own[times - 1] == first + height
    assert own[: times - every].count(first + height) == 0


@pytest.mark.parametrize(("by", "every"), [(0, 1), (-5, 1), (5, 0)])
def test_a_ladder_that_does_not_rise(by, every):
    with pytest.raises(RequestError, match="goes up"):
        Ladder(Fraction(by), Fraction(200), every)


def test_played_on_a_device_the_top_is_held_and_the_music_goes_on(monkeypatch):
    """What follows the ladder: the tempo that it came to, in the same part, not the same notes."""
    chart = parse("[A]\n| Dm7 | G7 | Cmaj7 | A7 |\n", "test.chart").chart
    take = Take(chart, tempo=Fraction(100), ladder=Ladder(Fraction(15), Fraction(140)), times=4)
    heard = []
    monkeypatch.setattr("chartkit.output.synth.find_soundfont", lambda _: Path("none.sf2"))
    monkeypatch.setattr(
        "chartkit.output.audio.play_live",
        lambda music, *, then, **_: heard.append((music, then)),
    )
    make.play(take)
    make.play(replace(take, ladder=None))
    (climbing, then), (_, nothing) = heard
    assert [tempo for _, tempo in climbing.tempo.steps] == [100, 115, 130, 140]
    assert [tempo for _, tempo in then.tempo.steps] == [140]
    assert then.loop
    assert then.length == climbing.length
    assert then.tracks != climbing.tracks
    assert nothing is None
