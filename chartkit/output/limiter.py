"""Keep peaks under the ceiling without touching anything else.

Conventions: audio is float32 frames by channels. The gain falls and recovers over `REACH` frames on
either side of a peak, the same for both channels; away from peaks samples pass unchanged, bit for
bit. What a frame becomes depends only on the frames within `REACH` of it, so a loop's seam is
limited as the middle is, and the result does not depend on how the music was cut up.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import numpy as np

CEILING: Final = 10 ** (-2 / 20)
"""Highest sample, 2 dB below full scale: the peaks between samples then stay under -1 dB."""

_WINDOW: Final = 2**9
"""Frames over which the gain is held, and again over which it is smoothed: 12 ms at 44,100."""

REACH: Final = _WINDOW
"""Frames before and after one that its gain depends on."""


def limited(
    blocks: Iterable[np.ndarray], before: np.ndarray, after: np.ndarray
) -> Iterator[np.ndarray]:
    """Yield blocks of the same frames, limited.

    Parameters
    ----------
    blocks : iterable of ndarray
        In order; of any lengths.
    before, after : ndarray
        `REACH` frames that come before the first block and after the last: the other end of a loop,
        or silence.
    """
    import numpy as np

    held = before
    for block in blocks:
        held = np.concatenate([held, block])
        if len(held) > 2 * REACH:
            yield _within_ceiling(held)
            held = held[-2 * REACH :]
    yield _within_ceiling(np.concatenate([held, after]))


def _within_ceiling(frames: np.ndarray) -> np.ndarray:
    """Return the frames between the outer `REACH` ones, limited."""
    import numpy as np

    inner = frames[REACH:-REACH]
    if frames.min() >= -CEILING and frames.max() <= CEILING:
        return inner
    wanted = CEILING / np.maximum(np.abs(frames).max(axis=1), CEILING)
    held = _over_window(np.minimum, wanted)
    gain = _over_window(np.add, held)[1 : len(inner) + 1] / _WINDOW
    return inner * gain[:, None]


def _over_window(combine: np.ufunc, values: np.ndarray) -> np.ndarray:
    """Combine each value with the `_WINDOW` - 1 after it, by doubling."""
    step = 1
    while step < _WINDOW:
        values = combine(values[:-step], values[step:])
        step *= 2
    return values
