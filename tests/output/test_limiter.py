"""The peak limiter on made-up sound."""

import numpy as np
import pytest

from chartkit.output.limiter import CEILING, REACH, limited

SILENCE = np.zeros((REACH, 2), np.float32)


def music(length, peaks, height=2.0, seed=1):
    """Soft noise with a few frames far over the ceiling."""
    frames = np.random.default_rng(seed).normal(0, 0.1, (length, 2)).clip(-0.4, 0.4)
    for peak in peaks:
        frames[peak] = (height, -height / 2)
    return frames.astype(np.float32)


def whole(blocks, before=SILENCE, after=SILENCE):
    return np.concatenate(list(limited(blocks, before, after)))


@pytest.mark.parametrize(
    "peaks", [(5000,), (0,), (9999,), (3000, 3200, 3300), tuple(range(4000, 4400))]
)
def test_nothing_is_over_the_ceiling_and_nothing_else_is_touched(peaks):
    frames = music(10_000, peaks)
    out = whole([frames])
    assert out.shape == frames.shape
    assert out.dtype == np.float32
    assert np.abs(out).max() <= CEILING * (1 + 1e-6)
    far = np.ones(len(frames), bool)
    for peak in peaks:
        far[max(0, peak - REACH) : peak + REACH] = False
    assert np.array_equal(out[far], frames[far])
    assert np.abs(out[list(peaks), 0]).max() > 0.8 * CEILING, "no softer than it need be"


def test_the_gain_moves_smoothly():
    frames = np.full((10_000, 2), 0.5, np.float32)
    frames[5000] = 2.0
    gain = whole([frames])[:, 0] / frames[:, 0]
    assert gain.min() == pytest.approx(CEILING / 2)
    assert np.abs(np.diff(gain)).max() < 0.002


def test_soft_music_passes_bit_for_bit():
    frames = music(10_000, ())
    assert np.array_equal(whole([frames]), frames)


@pytest.mark.parametrize("size", [1, 100, 511, 512, 513, 4096])
def test_it_does_not_matter_how_the_music_is_cut_up(size):
    frames = music(9000, (10, 4000, 4600, 8990))
    blocks = [frames[at : at + size] for at in range(0, len(frames), size)]
    assert np.array_equal(whole(blocks), whole([frames]))


def test_a_loop_is_limited_over_its_seam_as_elsewhere():
    frames = music(8000, (20, 4000, 7990))
    loop = whole([frames], before=frames[-REACH:], after=frames[:REACH])
    on = whole([np.concatenate([frames] * 3)])[8000:16_000]
    assert np.array_equal(loop, on)
