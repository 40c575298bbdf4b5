"""The loudness meter against the recommendation and another one."""

import math

import numpy as np
import pyloudnorm
import pytest

from chartkit.output import loudness
from chartkit.output.loudness import integrated

RATES = (44_100, 48_000)


def tone(rate, hertz, decibels, seconds=10, channels=2):
    at = np.arange(rate * seconds) / rate
    sine = 10 ** (decibels / 20) * np.sin(2 * np.pi * hertz * at)
    return np.repeat(sine[:, None], channels, axis=1)


@pytest.mark.parametrize("rate", RATES)
def test_the_reference_tone(rate):
    # ITU-R BS.1770: 1 kHz at -23 dBFS in both channels of a stereo pair is -23.0 LUFS
    assert integrated(tone(rate, 1000, -23), rate) == pytest.approx(-23.0, abs=0.05)


def test_the_filters_are_those_of_the_recommendation():
    # ITU-R BS.1770-4, annex 1, tables 1 and 2: coefficients at 48 kHz
    shelf = [np.array(side) for side in loudness._shelf(48_000)]
    above, below = (side / shelf[1][0] for side in shelf)
    assert above == pytest.approx([1.53512485958697, -2.69169618940638, 1.19839281085285])
    assert below == pytest.approx([1, -1.69065929318241, 0.73248077421585])
    above, below = (np.array(side) for side in loudness._high_pass(48_000))
    assert above / below[0] == pytest.approx([1, -2, 1])
    assert below / below[0] == pytest.approx([1, -1.99004745483398, 0.99007225036621])


def noises(rate):
    rng = np.random.default_rng(7)
    white = rng.normal(0, 0.05, (20 * rate, 2))
    yield white
    yield white * np.linspace(0, 1, len(white))[:, None]
    yield np.where(np.arange(len(white))[:, None] // rate % 4 == 0, white, white / 1000)
    low = np.cumsum(white, axis=0) * 0.02
    yield low - np.linspace(low[0], low[-1], len(low))


@pytest.mark.parametrize("rate", RATES)
@pytest.mark.parametrize("hertz", [41.2, 200, 1000, 6000])
def test_tones_against_another_meter(rate, hertz):
    frames = tone(rate, hertz, -20)
    other = pyloudnorm.Meter(rate, filter_class="DeMan").integrated_loudness(frames)
    assert integrated(frames, rate) == pytest.approx(other, abs=0.05)


@pytest.mark.parametrize("rate", RATES)
@pytest.mark.parametrize("number", range(4))
def test_noises_against_another_meter(rate, number):
    frames = list(noises(rate))[number]
    for filters in ("DeMan", "K-weighting"):
        other = pyloudnorm.Meter(rate, filter_class=filters).integrated_loudness(frames)
        assert integrated(frames, rate) == pytest.approx(other, abs=0.05)


def test_silence_has_no_loudness():
    assert integrated(np.zeros((44_100, 2)), 44_100) == -math.inf
