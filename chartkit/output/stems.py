"""Each part of a performance by itself, to be mixed anew: stems.

Conventions: one synthesiser plays them all and keeps them apart, so a part sounds as it does in the
mix, at the same level and in the same place of the room; nothing limits its peaks, so the parts add
up to the mix. All have the same number of frames, and the same cues and loop points. (Each on a
synthesiser of its own they do not add up: FluidSynth begins a note a little differently on a voice
that another has used.) Pieces of time are made several at once, as the mix is.
"""

from __future__ import annotations

from collections.abc import Generator, Mapping
from contextlib import ExitStack, closing
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from chartkit.output.audio import RATE, Progress, about, maker, tags_of
from chartkit.output.events import piece
from chartkit.output.frames import frames, untouched
from chartkit.output.player import CHANNELS, groups_apart
from chartkit.output.recording import Write, check, recording
from chartkit.track import Part, Performance

if TYPE_CHECKING:
    import numpy as np

_A440: Final = 440.0


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

    blocks = list(_together(performance, soundfont, a4, rate))
    return {
        part: np.concatenate([block[:, sides] for block in blocks])
        for part, sides in _sides(performance).items()
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
        Called with the share that is done, 0 to 1.

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
    sides = _sides(performance)
    with ExitStack() as files:
        writers: dict[Part, Write] = {}
        for part, path in paths.items():
            own = replace(told, tags=tags_of(performance, part))
            form = check(path, music.frames)
            writers[part] = files.enter_context(recording(path, form, rate, own))
        blocks = files.enter_context(closing(_together(performance, soundfont, a4, rate)))
        done = 0
        for block in blocks:
            for part, write in writers.items():
                done = write(block[:, sides[part]])
            if progress:
                progress(min(1.0, done / music.frames))


def _together(
    performance: Performance, soundfont: Path, a4: float, rate: int
) -> Generator[np.ndarray]:
    """Yield the frames of all parts side by side."""
    groups = groups_apart(parts_of(performance))
    synth = maker(performance, soundfont, rate, a4, groups)
    return frames(piece(performance, rate), synth, rate, untouched)


def _sides(performance: Performance) -> dict[Part, slice]:
    """Return where each part's left and right are among the channels of sound."""
    parts = parts_of(performance)
    groups = {part: CHANNELS[part] % groups_apart(parts) for part in parts}
    return {part: slice(2 * group, 2 * group + 2) for part, group in groups.items()}
