"""The whole band on every chart in every feel, and on charts drawn by chance: every rule at once.

What each part owes stands in ``bass_rules``, ``comping_rules`` and ``drum_rules``; what any
performance owes, here. An off-beat at most 3.5 times as long as what follows it: Friberg &
Sundstrom 2002, Music Perception 19(3). Hands early or late by 20 ms at most, a voice that moves 2.5
semitones on average at most: common practice, no source.
"""

from fractions import Fraction
from itertools import pairwise, product
from pathlib import Path
from typing import NamedTuple

import bass_rules
import comping_rules
import drum_rules
import pytest
from fitting import fitted
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from pairing import pairs
from strategies import charts

from chartkit import band
from chartkit.arrange import arrange
from chartkit.errors import CannotPlay, RequestError
from chartkit.feel import FEELS
from chartkit.form import key_of
from chartkit.output import midi
from chartkit.reader import read
from chartkit.take import BAND, Take
from chartkit.theory.key import Key
from chartkit.timing import perform

CHARTS = {
    path.stem: read(str(path))
    for path in sorted((Path(__file__).parents[2] / "charts").glob("*.chart"))
}

PACES = 3
"""The slow end of a feel's band of tempo, its middle, its fast end."""

LATE = Fraction(20, 1000)
"""Seconds."""

WIDEST = Fraction(7, 9)
"""The place in a beat of an off-beat of 3.5 to 1."""

MOST_BARS = 120
"""A longer drawn form is left out."""


class Plan(NamedTuple):
    """How a chart is played."""

    feel: str
    tonic: int
    seed: int
    pace: int
    loop: bool


class Case(NamedTuple):
    """A chart and how it is played."""

    chart: str
    feel: str
    tonic: int
    seed: int
    pace: int
    loop: bool

    def take(self, **more):
        return taken(CHARTS[self.chart], Plan(*self[1:]), **more)


def taken(chart, plan, **more):
    row = FEELS[plan.feel]
    return Take(
        fitted(chart, plan.feel),
        key=Key.written(plan.tonic, key_of(chart).mode),
        tempo=row.slowest + Fraction(plan.pace * (row.fastest - row.slowest), PACES - 1),
        seed=plan.seed,
        loop=plan.loop,
        **more,
    )


def check(take, *, voices=True):
    """Every rule for every part, as written and as performed; return how far a voice moves."""
    music = arrange(take)
    tracks = band.play(music, BAND, take.seed)
    bass, chords, drums = tracks
    bass_rules.check_all(music, bass.notes)
    drum_rules.check(music, drums.notes)
    drum_rules.check_hat(music, drums.notes)
    struck = comping_rules.hits(chords)
    if struck:
        comping_rules.check_all(music, struck)
    check_performance(music, tracks, perform(music, tracks, take.seed))
    moved = comping_rules.voice_movement(struck, around=take.loop) if len(struck) > 1 else 0
    assert not voices or moved <= 2.5
    return moved


def check_performance(music, tracks, heard):
    """Nothing after the end, no key struck while it sounds, hands near the beat."""
    for straight, track in zip(tracks, heard.tracks, strict=True):
        sounding = {}
        for note in sorted(track.notes):
            assert note.length > 0
            assert note.end <= heard.length
            assert 1 <= note.velocity <= 127
            assert note.start >= sounding.get(note.pitch, note.start)
            sounding[note.pitch] = note.end
        assert all(a.velocity != b.velocity for a, b in pairwise(track.notes))
        check_timing(music, straight, track)


def check_timing(music, straight, track):
    """What is on a beat is near it, what is off the beat within the beat; the order is kept."""
    as_written = sorted({note.start for note in straight.notes})
    as_played = sorted({note.start for note in track.notes})
    assert len(as_written) == len(as_played)
    spans = [*music.lead_in, *music.spans, *music.tail]
    feels = {span.feel for span in spans}
    pulse = max(FEELS[name].pulse for name in feels)
    for written, played in zip(as_written, as_played, strict=True):
        late = LATE * music.tempo.at(written) / 60
        away = played - written
        assert -late <= away <= late + pulse * (WIDEST - Fraction(1, 2))
        if (written / min(FEELS[name].pulse for name in feels)).denominator == 1:
            assert away <= late


CHOICES = ([*CHARTS], [*FEELS], range(12), range(5), range(PACES), (True, False))


@pytest.mark.parametrize(
    "case", [Case(*chosen) for chosen in pairs(CHOICES)], ids=lambda case: "-".join(map(str, case))
)
def test_a_section_of_a_chart(case):
    """Any two choices of chart, feel, key, seed, tempo and kind of take meet."""
    sections = CHARTS[case.chart].sections
    label = sections[case.seed % len(sections)].label
    check(case.take(sections=(label,)))


@pytest.mark.sweep
@pytest.mark.parametrize("feel", FEELS)
@pytest.mark.parametrize("name", CHARTS)
def test_a_whole_chart_in_every_key(name, feel):
    """Every chart in every feel and key with five seeds; tempos and kinds of take go round."""
    moved = [
        check(Case(name, feel, tonic, seed, (tonic + seed) % PACES, loop=seed % 2 == 0).take())
        for tonic, seed in product(range(12), range(5))
    ]
    print(f"{name}, {feel}: a voice moves at most {max(moved):.2f}")  # noqa: T201 (for reading)


PLANS = st.builds(
    Plan,
    st.sampled_from([*FEELS]),
    st.integers(0, 11),
    st.integers(0, 4),
    st.integers(0, PACES - 1),
    st.booleans(),
)
QUIET = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]
PHASES = [Phase.explicit, Phase.reuse, Phase.generate]
"""A drawn chart is not made smaller when a rule is broken: that takes minutes."""


def check_drawn(chart, plan):
    """Check a drawn chart, unless its form cannot be played or lasts too long."""
    take = taken(chart, plan)
    try:
        bars = len({span.bar_start for span in arrange(take).spans})
    except (CannotPlay, RequestError):
        bars = 0
    assume(0 < bars <= MOST_BARS)
    check(take, voices=False)


@settings(
    derandomize=True, max_examples=15, deadline=None, suppress_health_check=QUIET, phases=PHASES
)
@given(charts(), PLANS)
def test_a_drawn_chart(chart, plan):
    check_drawn(chart, plan)


@pytest.mark.sweep
@settings(
    derandomize=True, max_examples=1000, deadline=None, suppress_health_check=QUIET, phases=PHASES
)
@given(charts(), PLANS)
def test_many_drawn_charts(chart, plan):
    check_drawn(chart, plan)


@pytest.mark.parametrize("feel", FEELS)
def test_the_same_seed_gives_the_same_bytes(feel):
    name = [*CHARTS][[*FEELS].index(feel)]
    take = Case(name, feel, 3, 2, 1, loop=False).take()

    def encoded(asked):
        music = arrange(asked)
        return midi.encode(perform(music, band.play(music, BAND, asked.seed), asked.seed))

    assert encoded(take) == encoded(take)
