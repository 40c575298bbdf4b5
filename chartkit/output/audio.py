"""A performance as a sound file.

Conventions: 44,100 frames a second unless asked otherwise, stereo. A loop's file is exactly its
beats at its tempo, rounded to whole frames, and joins its own beginning; a count-in comes before
it. Other music is followed by its decay. The ending of the file's name decides the format.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import Final

from chartkit.output.events import Piece, piece
from chartkit.output.frames import frames
from chartkit.output.live import play_live
from chartkit.output.player import Synth
from chartkit.output.recording import FORMATS, About, check, fill, recording
from chartkit.output.soundfonts import levels, touch
from chartkit.output.stretches import Maker
from chartkit.output.tags import Tags, decimal
from chartkit.track import Performance

__all__ = ["FORMATS", "RATE", "about", "maker", "play_live", "render", "tags_of", "warning_for"]

RATE: Final = 44_100

_A440: Final = 440.0

_CUES: Final = ("chorus", "section", "turn", "loop")
"""The kinds of marker that a WAV file carries."""

_UNIT: Final = "quarter notes a minute"

Progress = Callable[[float], None]


def render(
    performance: Performance,
    path: Path,
    *,
    soundfont: Path,
    a4: float = _A440,
    rate: int = RATE,
    progress: Progress | None = None,
) -> None:
    """Write a performance as a sound file, whole or not at all.

    Parameters
    ----------
    performance : Performance
    path : Path
        The format is told by its ending, one of `FORMATS`.
    soundfont : Path
        See `chartkit.output.synth.find_soundfont`.
    a4 : float
        Tuning of A4 in Hz.
    rate : int
        Frames a second, 8,000 to 96,000.
    progress : callable or None
        Called with the share that is done, 0 to 1.

    Raises
    ------
    RequestError
        There is no such format.
    SoundError
        There is no synthesiser library, or the soundfont is not usable.
    OutputError
        The file cannot be written; nothing is left of it.
    """
    music = piece(performance, rate)
    form = check(path, music.frames)
    synth = maker(performance, soundfont, rate, a4)
    with recording(path, form, rate, about(performance, music, rate)) as write:
        for done in fill(write, frames(music, synth, rate)):
            if progress:
                progress(min(1.0, done / music.frames))


def maker(
    performance: Performance, soundfont: Path, rate: int, a4: float = _A440, groups: int = 1
) -> Maker:
    """Return a function that makes a new synthesiser with a performance's parts at their levels.

    Whatever parts are kept apart in groups, the levels are the same.
    """
    programs = {track.part: track.program for track in performance.tracks}
    return partial(
        Synth,
        soundfont,
        programs,
        levels=levels(performance, soundfont, rate),
        rate=rate,
        a4=a4,
        groups=groups,
        touch=touch(performance, soundfont),
    )


def about(performance: Performance, music: Piece, rate: int) -> About:
    """Return what a performance's file tells besides its sound."""
    loop = (music.before, music.frames - 1) if performance.loop else None
    return About(tags_of(performance), _cues(performance, music, rate), loop)


def tags_of(performance: Performance, part: str = "") -> Tags:
    """Return what a performance's file, or that of one of its parts, tells of the music."""
    title = ", ".join(filter(None, (performance.title, part)))
    tempos = sorted({tempo for _, tempo in performance.tempo.steps})
    unit = performance.meters[0][1].unit if performance.meters else 1
    told = " to ".join(decimal(tempo) for tempo in (tempos[0], *tempos[1:][-1:]))
    return Tags(title, performance.tempo.at(performance.start) / unit, f"{told} {_UNIT}")


def warning_for(path: Path) -> str | None:
    """Return what a player should know about a format before looping its files; or None."""
    if path.suffix.lower() == ".mp3":
        return (
            "an MP3 encoder pads the beginning and the end, so the file will not loop without a "
            "gap: use .wav, .flac or .ogg"
        )
    return None


def _cues(performance: Performance, music: Piece, rate: int) -> tuple[tuple[int, str], ...]:
    """Return (frame, label) of the section and chorus markers in every round."""
    seconds = performance.tempo.seconds
    zero = Fraction(0) if performance.loop else performance.start
    placed = [
        (round((seconds(marker.start) - seconds(zero)) * rate), marker.text)
        for marker in performance.markers
        if marker.kind in _CUES
    ]
    return tuple(
        (max(0, music.before + start + frame), text)
        for start in (0, *music.ends[:-1])
        for frame, text in placed
    )
