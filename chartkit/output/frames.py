"""All the frames of a piece of music in the order they are heard.

Conventions: float32, frames by channels, a second or so at a time. A count-in goes over into what
leads into its loop, rounds do not drift, and what guards the peaks sees across every join.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Iterator
from itertools import chain, pairwise
from typing import TYPE_CHECKING, Final

from chartkit.output.events import Piece
from chartkit.output.limiter import REACH, limited
from chartkit.output.stretches import RUN_UP, Maker, sounding

if TYPE_CHECKING:
    import numpy as np

_SHORT: Final = 2**16
"""Frames given at a time."""

Guard = Callable[[Iterable["np.ndarray"], "np.ndarray", "np.ndarray"], Iterator["np.ndarray"]]
"""What minds the peaks of blocks, given what comes before and after them; see `limited`."""


def frames(music: Piece, synth: Maker, rate: int, guard: Guard = limited) -> Generator[np.ndarray]:
    """Yield all the frames of a file in order.

    Parameters
    ----------
    music : Piece
    synth : callable
        Makes a new synthesiser.
    rate : int
        Frames a second.
    guard : callable
        What minds the peaks: by default no sample is above the ceiling.

    Yields
    ------
    ndarray
        float32, frames by channels, at most a second or so at a time.
    """
    body = sounding(music.body, synth, rate)
    run_up, first = next(body), next(body)
    beginning = first[:REACH].copy()
    body = _short(chain((first,), body))
    del first  # tens of megabytes, not to be kept to the end
    if music.lead_in:
        lead_in = _lead_in(sounding(music.lead_in, synth, rate), music.before, run_up)
        yield from guard(_short([lead_in]), _silence(), beginning)
    after = beginning if music.body.cycle else _silence()
    one_round = guard(body, run_up[-REACH:], after)
    yield from one_round if len(music.ends) == 1 else _rounds(one_round, music.ends)


def untouched(
    blocks: Iterable[np.ndarray],
    before: np.ndarray,  # noqa: ARG001 (as every guard is called)
    after: np.ndarray,  # noqa: ARG001
) -> Iterator[np.ndarray]:
    """Yield blocks as they are: the guard of what is to be mixed later."""
    yield from blocks


def _lead_in(sound: Iterator[np.ndarray], length: int, run_up: np.ndarray) -> np.ndarray:
    """Return a count-in that goes over, at its very end, into what leads into the loop."""
    import numpy as np

    _, *arrays = sound
    whole = np.concatenate(arrays)[:length]
    share = np.linspace(0, 1, RUN_UP, dtype=np.float32)[:, None]
    whole[-RUN_UP:] += share * (run_up - whole[-RUN_UP:])
    return whole


def _rounds(blocks: Iterator[np.ndarray], ends: tuple[int, ...]) -> Iterator[np.ndarray]:
    """Yield one round again and again, each time as long as its exact end asks."""
    import numpy as np

    whole = np.concatenate(list(blocks))
    for start, end in pairwise((0, *ends)):
        yield from _short([_fitted(whole, end - start)])


def _fitted(whole: np.ndarray, length: int) -> np.ndarray:
    """Make a round a frame longer or shorter by sliding its last frames over to their neighbours.

    A linear interpolation whose place moves by one frame over `RUN_UP` of them: nothing jumps.
    """
    import numpy as np

    extra = length - len(whole)
    if not extra:
        return whole
    kept = length - RUN_UP
    share = np.linspace(0, 1, RUN_UP, dtype=np.float32)[:, None]
    own = np.minimum(np.arange(kept, length), len(whole) - 1)
    slid = (1 - share) * whole[own] + share * whole[kept - extra :]
    return np.concatenate([whole[:kept], slid])


def _short(arrays: Iterable[np.ndarray]) -> Iterator[np.ndarray]:
    """Cut long arrays into short ones; Vorbis's encoder crashes on minutes at a time."""
    for array in arrays:
        for start in range(0, len(array), _SHORT):
            yield array[start : start + _SHORT]


def _silence() -> np.ndarray:
    import numpy as np

    return np.zeros((REACH, 2), np.float32)
