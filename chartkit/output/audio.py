"""A performance as a sound file.

Conventions: 44,100 frames a second unless asked otherwise, stereo. A loop's file is exactly its
beats at its tempo, rounded to whole frames, and joins its own beginning; a count-in comes before
it. Other music is followed by its decay. The ending of the file's name decides the format.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from itertools import chain, pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Final

from chartkit.errors import OutputError, RequestError, either
from chartkit.output import wav
from chartkit.output.events import Piece, piece
from chartkit.output.files import replacing
from chartkit.output.limiter import REACH, limited
from chartkit.output.live import play_live
from chartkit.output.player import Synth
from chartkit.output.soundfonts import levels
from chartkit.output.stretches import RUN_UP, Maker, sounding
from chartkit.track import Performance

if TYPE_CHECKING:
    import numpy as np
    from soundfile import SoundFile

__all__ = ["FORMATS", "RATE", "play_live", "render", "warning_for"]

RATE: Final = 44_100

_A440: Final = 440.0

_SHORT: Final = 2**16
"""Frames written at a time."""

_FRAME_BYTES: Final = 4
_WAV_BYTES: Final = 2**32 - 2**24
"""What the four-byte lengths of a WAV file can tell, less room for a decay and for markers."""

_PROBE: Final = 2**16
"""Bytes that a full disk does not take: more than an encoder writes at once."""

_CUES: Final = ("chorus", "section", "turn", "loop")
"""The kinds of marker that a WAV file carries."""


@dataclass(frozen=True, slots=True)
class Format:
    """How libsndfile is to write a file: its name for the format and for the samples."""

    name: str
    samples: str


FORMATS: Final = {
    ".wav": Format("WAV", "PCM_16"),
    ".flac": Format("FLAC", "PCM_16"),
    ".ogg": Format("OGG", "VORBIS"),
    ".mp3": Format("MP3", "MPEG_LAYER_III"),
}
"""By a file's ending. 16 bits: every player, looper pedal and sampler reads them, and their
rounding, 98 dB below full scale, lies far under the noise of any soundfont's recordings."""

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
    form = _format(path)
    music = piece(performance, rate)
    if form.name == "WAV" and music.frames * _FRAME_BYTES > _WAV_BYTES:
        raise OutputError(f"cannot write {path}: a WAV file holds at most 4 GB, so choose .flac")
    synth = _maker(performance, soundfont, rate, a4)
    with replacing(path) as temporary:
        with _writing(temporary, path), _opened(temporary, form, rate) as file:
            if performance.title:
                file.title = performance.title
            _fill(file, frames(music, synth, rate), music.frames, progress)
        if form.name == "WAV":
            loop = (music.before, music.frames - 1) if performance.loop else None
            wav.mark(temporary, _cues(performance, music, rate), loop, rate)


def frames(music: Piece, synth: Maker, rate: int) -> Generator[np.ndarray]:
    """Yield all the frames of a file in order.

    Parameters
    ----------
    music : Piece
    synth : callable
        Makes a new synthesiser.
    rate : int
        Frames a second.

    Yields
    ------
    ndarray
        float32, frames by 2, at most a second or so at a time, no sample above the ceiling.
    """
    body = sounding(music.body, synth, rate)
    run_up, first = next(body), next(body)
    beginning = first[:REACH].copy()
    body = _short(chain((first,), body))
    del first  # tens of megabytes, not to be kept to the end
    if music.lead_in:
        lead_in = _lead_in(sounding(music.lead_in, synth, rate), music.before, run_up)
        yield from limited(_short([lead_in]), _silence(), beginning)
    after = beginning if music.body.cycle else _silence()
    one_round = limited(body, run_up[-REACH:], after)
    yield from one_round if len(music.ends) == 1 else _rounds(one_round, music.ends)


def warning_for(path: Path) -> str | None:
    """Return what a player should know about a format before looping its files; or None."""
    if path.suffix.lower() == ".mp3":
        return (
            "an MP3 encoder pads the beginning and the end, so the file will not loop without a "
            "gap: use .wav, .flac or .ogg"
        )
    return None


def _fill(
    file: SoundFile, blocks: Generator[np.ndarray], total: int, progress: Progress | None
) -> None:
    """Write blocks to a file, and end the work on them at once if that fails."""
    with closing(blocks):
        for block in blocks:
            file.write(block)
            if progress:
                progress(min(1.0, file.frames / total))


def _format(path: Path) -> Format:
    try:
        return FORMATS[path.suffix.lower()]
    except KeyError:
        raise RequestError(
            f"cannot write {path}: its ending tells the format, one of {either(tuple(FORMATS))}"
        ) from None


def _maker(performance: Performance, soundfont: Path, rate: int, a4: float) -> Maker:
    programs = {track.part: track.program for track in performance.tracks}
    mix = levels(performance, soundfont)
    return partial(Synth, soundfont, programs, levels=mix, rate=rate, a4=a4)


def _opened(path: Path, form: Format, rate: int) -> SoundFile:
    from soundfile import SoundFile

    return SoundFile(path, "w", rate, 2, form.samples, format=form.name)


@contextmanager
def _writing(temporary: Path, path: Path) -> Iterator[None]:
    """Turn libsndfile's failures into the operating system's reason for them.

    libsndfile says only "System error", and of a last write that fails as the file is closed it
    says nothing. So the file is whole only if it has room for more.
    """
    from soundfile import LibsndfileError

    try:
        yield
    except (LibsndfileError, AssertionError) as error:
        _probe(temporary)
        raise OutputError(f"cannot write {path}: {error}") from error
    _probe(temporary)


def _probe(path: Path) -> None:
    """Write a little more to a file than is in it, and take it away again."""
    with path.open("ab") as file:
        size = file.tell()
        file.write(bytes(_PROBE))
        file.flush()
        file.truncate(size)


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


def _cues(performance: Performance, music: Piece, rate: int) -> list[tuple[int, str]]:
    """Return (frame, label) of the section and chorus markers in every round."""
    seconds = performance.tempo.seconds
    zero = Fraction(0) if performance.loop else performance.start
    placed = [
        (round((seconds(marker.start) - seconds(zero)) * rate), marker.text)
        for marker in performance.markers
        if marker.kind in _CUES
    ]
    return [
        (max(0, music.before + start + frame), text)
        for start in (0, *music.ends[:-1])
        for frame, text in placed
    ]
