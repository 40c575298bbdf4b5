"""Each part of a performance by itself, to be mixed anew: stems.

Conventions: a part sounds as it does in the whole mix, at the same level and in the same place of
the room, and nothing limits its peaks, so the parts add up to the mix. All have the same number of
frames. They are made several at once (the synthesiser does not hold the interpreter), in a way that
does not depend on how many cores there are.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from concurrent.futures import CancelledError, ThreadPoolExecutor
from contextlib import ExitStack, closing
from dataclasses import replace
from pathlib import Path
from threading import Event as Flag
from threading import Lock
from typing import TYPE_CHECKING, Final, TypeVar

from chartkit.output.audio import RATE, Progress, about, maker
from chartkit.output.events import piece
from chartkit.output.frames import frames, untouched
from chartkit.output.recording import Write, check, fill, recording
from chartkit.track import Part, Performance

if TYPE_CHECKING:
    import numpy as np

_T = TypeVar("_T")

_A440: Final = 440.0

_MOST_AT_ONCE: Final = 4
"""Parts made at once, however many cores there are: each holds some of its music in memory."""

_SHORT: Final = 2**16
"""Frames of silence written at a time."""


def parts_of(performance: Performance) -> tuple[Part, ...]:
    """Return the parts that have any notes, in the order of the performance."""
    return tuple(track.part for track in performance.tracks if track.notes)


def stem_paths(performance: Performance, mix: Path) -> dict[Part, Path]:
    """Return a path for each part: that of the mix with the part's name at its end."""
    return {part: mix.with_stem(f"{mix.stem}-{part}") for part in parts_of(performance)}


def part_frames(
    performance: Performance, *, soundfont: Path, a4: float = _A440, rate: int = RATE
) -> dict[Part, np.ndarray]:
    """Return the sound of each part that has any notes.

    Parameters
    ----------
    performance : Performance
    soundfont : Path
        See `chartkit.output.synth.find_soundfont`.
    a4 : float
        Tuning of A4 in Hz.
    rate : int
        Frames a second, 8,000 to 96,000.

    Returns
    -------
    dict of Part to ndarray
        float32, frames by 2, all of the same length: a loop's is exactly its beats, after a
        count-in; other music has its decay, silent where a part's is over before another's.

    Raises
    ------
    SoundError
        There is no synthesiser library, or the soundfont is not usable.
    """
    import numpy as np

    def made(part: Part, stop: Flag) -> np.ndarray:
        with closing(_sounding(performance, part, soundfont, a4, rate)) as blocks:
            return np.concatenate(list(_unless(stop, blocks)))

    whole = _at_work(parts_of(performance), made)
    longest = max(map(len, whole.values()), default=0)
    return {
        part: np.pad(sound, ((0, longest - len(sound)), (0, 0))) for part, sound in whole.items()
    }


def render_stems(
    performance: Performance,
    paths: Mapping[Part, Path],
    *,
    soundfont: Path,
    a4: float = _A440,
    rate: int = RATE,
    progress: Progress | None = None,
) -> None:
    """Write a sound file for each part; all of them, or none.

    Parameters
    ----------
    performance : Performance
    paths : mapping of Part to Path
        The parts to write and where; see `stem_paths`. The format is told by the ending, one of
        `chartkit.output.recording.FORMATS`.
    soundfont, a4, rate
        As for `part_frames`.
    progress : callable or None
        Called with the share that is done, 0 to 1, from several threads but one at a time.

    Raises
    ------
    RequestError
        There is no such format.
    SoundError
        There is no synthesiser library, or the soundfont is not usable.
    OutputError
        A file cannot be written; nothing is left of any.
    """
    music = piece(performance, rate)
    told = about(performance, music, rate)
    report = _shared(progress, len(paths) * music.frames)
    with ExitStack() as files:
        writers: dict[Part, Write] = {}
        for part, path in paths.items():
            own = replace(told, title=", ".join(filter(None, (told.title, part))))
            form = check(path, music.frames)
            writers[part] = files.enter_context(recording(path, form, rate, own))

        def made(part: Part, stop: Flag) -> int:
            blocks = _sounding(performance, part, soundfont, a4, rate)
            done = 0
            for now in _unless(stop, fill(writers[part], blocks)):
                report(now - done)
                done = now
            return done

        lengths = _at_work(tuple(paths), made)
        for part, length in lengths.items():
            _add_silence(writers[part], max(lengths.values()) - length)


def _sounding(
    performance: Performance, part: Part, soundfont: Path, a4: float, rate: int
) -> Generator[np.ndarray]:
    """Return the frames of one part alone."""
    alone = replace(performance, tracks=tuple(t for t in performance.tracks if t.part == part))
    return frames(piece(alone, rate), maker(alone, soundfont, rate, a4), rate, untouched)


def _at_work(parts: Sequence[Part], made: Callable[[Part, Flag], _T]) -> dict[Part, _T]:
    """Make something of each part, several at once; if one fails, stop the others."""
    stop = Flag()
    with ThreadPoolExecutor(min(_MOST_AT_ONCE, os.cpu_count() or 1)) as pool:
        try:
            waiting = {part: pool.submit(made, part, stop) for part in parts}
            return {part: one.result() for part, one in waiting.items()}
        finally:
            stop.set()
            pool.shutdown(cancel_futures=True)


def _unless(stop: Flag, steps: Iterator[_T]) -> Iterator[_T]:
    """Yield steps of work until it is to stop."""
    for step in steps:
        if stop.is_set():
            raise CancelledError
        yield step


def _shared(progress: Progress | None, total: int) -> Callable[[int], None]:
    """Return a function that takes the frames done by any thread and tells the share of all."""
    lock, done = Lock(), 0

    def report(more: int) -> None:
        nonlocal done
        with lock:
            done += more
            if progress:
                progress(min(1.0, done / total))

    return report


def _add_silence(write: Write, count: int) -> None:
    import numpy as np

    for start in range(0, count, _SHORT):
        write(np.zeros((min(_SHORT, count - start), 2), np.float32))
