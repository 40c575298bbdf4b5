"""How loud music is: integrated loudness after ITU-R BS.1770-4.

Conventions: loudness in LUFS, full scale is 1.0, frames by channels, both channels weighted 1. The
two filters are worked out for any rate from the analogue ones behind the recommendation's
coefficients for 48,000 frames a second (shelf of 4 dB above 1,682 Hz, high pass at 38 Hz).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import numpy as np

_BLOCK_SECONDS: Final = 0.4
_STEPS_IN_BLOCK: Final = 4
_ABSOLUTE_GATE: Final = -70.0
_RELATIVE_GATE: Final = -10.0
OFFSET: Final = -0.691
"""What is added to a mean square in dB to make it LUFS."""


_SHELF: Final = (1681.974450955533, 0.7071752369554196, 3.999843853973347)
_HIGH_PASS: Final = (38.13547087602444, 0.5003270373238773)
"""Frequency, quality and gain in dB of the analogue filters [Brecht De Man, Evaluation of
Implementations of the EBU R128 Loudness Measurement, AES 145, 2018]."""


def integrated(frames: np.ndarray, rate: int) -> float:
    """Return the integrated loudness in LUFS; minus infinity where all of it is below the gate.

    Parameters
    ----------
    frames : ndarray
        Frames by channels, at least 0.4 s of them.
    rate : int
        Frames a second.
    """
    import numpy as np

    power = _block_power(weighted(frames, rate), rate)
    gated = power[_lufs(power) > _ABSOLUTE_GATE]
    if not len(gated):
        return -math.inf
    gated = gated[_lufs(gated) > _lufs(gated.mean()) + _RELATIVE_GATE]
    return float(_lufs(np.mean(gated)))


def _lufs(power: np.ndarray) -> np.ndarray:
    import numpy as np

    level: np.ndarray = OFFSET + 10 * np.log10(np.maximum(power, np.finfo(float).tiny))
    return level


def _block_power(frames: np.ndarray, rate: int) -> np.ndarray:
    """Return the mean square, channels added, of blocks of 0.4 s that overlap by three quarters."""
    import numpy as np

    step = round(_BLOCK_SECONDS * rate / _STEPS_IN_BLOCK)
    steps = len(frames) // step
    power = (frames[: steps * step] ** 2).sum(axis=1).reshape(steps, step).mean(axis=1)
    return np.convolve(power, np.full(_STEPS_IN_BLOCK, 1 / _STEPS_IN_BLOCK), "valid")


def weighted(frames: np.ndarray, rate: int) -> np.ndarray:
    """Return frames after both filters, applied in the frequency domain."""
    import numpy as np

    padded = 2 ** math.ceil(math.log2(len(frames) + rate))
    z = np.exp(-2j * np.pi * np.fft.rfftfreq(padded))
    response = _response(z, *_shelf(rate)) * _response(z, *_high_pass(rate))
    spectrum = np.fft.rfft(frames, padded, axis=0) * response[:, None]
    return np.fft.irfft(spectrum, padded, axis=0)[: len(frames)]


def _response(z: np.ndarray, above: tuple[float, ...], below: tuple[float, ...]) -> np.ndarray:
    import numpy as np

    return np.polyval(above[::-1], z) / np.polyval(below[::-1], z)


def _shelf(rate: int) -> tuple[tuple[float, ...], tuple[float, ...]]:
    frequency, quality, gain = _SHELF
    k = math.tan(math.pi * frequency / rate)
    high = 10 ** (gain / 20)
    band = high**0.4996667741545416
    above = (
        high + band * k / quality + k * k,
        2 * (k * k - high),
        high - band * k / quality + k * k,
    )
    return above, _resonance(k, quality)


def _high_pass(rate: int) -> tuple[tuple[float, ...], tuple[float, ...]]:
    frequency, quality = _HIGH_PASS
    k = math.tan(math.pi * frequency / rate)
    below = _resonance(k, quality)
    return (below[0], -2 * below[0], below[0]), below


def _resonance(k: float, quality: float) -> tuple[float, ...]:
    return 1 + k / quality + k * k, 2 * (k * k - 1), 1 - k / quality + k * k
