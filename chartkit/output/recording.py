"""Sound files as libsndfile writes them: whole or not there, with what they tell about the music.

Conventions: the ending of a file's name decides its format; stereo. A file is written in blocks
under a temporary name, and takes its own once it is complete.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from chartkit.errors import OutputError, RequestError, either
from chartkit.output import tags, wav
from chartkit.output.files import replacing
from chartkit.output.tags import NONE, Tags

if TYPE_CHECKING:
    import numpy as np
    from soundfile import SoundFile

_FRAME_BYTES: Final = 4
_WAV_BYTES: Final = 2**32 - 2**24
"""What the four-byte lengths of a WAV file can tell, less room for a decay and for markers."""

_PROBE: Final = 2**16
"""Bytes that a full disk does not take: more than an encoder writes at once."""


Write = Callable[["np.ndarray"], int]
"""Writes a block, and returns how many frames the file has then."""


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


@dataclass(frozen=True, slots=True)
class About:
    """What a file tells besides its sound.

    Parameters
    ----------
    tags : Tags
    cues : tuple of (int, str)
        Frame and label of places in the music; told by a WAV file.
    loop : tuple of int or None
        First and last frame of the loop, both included; told by a WAV file.
    """

    tags: Tags = NONE
    cues: tuple[tuple[int, str], ...] = ()
    loop: tuple[int, int] | None = None


def check(path: Path, frames: int) -> Format:
    """Return the format of a file to write.

    Raises
    ------
    RequestError
        There is no such format.
    OutputError
        So many frames do not fit in it.
    """
    try:
        form = FORMATS[path.suffix.lower()]
    except KeyError:
        raise RequestError(
            f"cannot write {path}: its ending tells the format, one of {either(tuple(FORMATS))}"
        ) from None
    if form.name == "WAV" and frames * _FRAME_BYTES > _WAV_BYTES:
        raise OutputError(f"cannot write {path}: a WAV file holds at most 4 GB, so choose .flac")
    return form


@contextmanager
def recording(path: Path, form: Format, rate: int, about: About) -> Iterator[Write]:
    """Give a function that writes blocks of a file; keep the file if the work on it succeeds.

    Raises
    ------
    OutputError
        It cannot be written; what stood there before stays, and nothing else is left.
    """
    with replacing(path) as temporary:
        with _reasons(temporary, path), _opened(temporary, form, rate, about.tags) as file:

            def write(block: np.ndarray) -> int:
                with _reasons(temporary, path):
                    file.write(block)
                return int(file.frames)

            yield write
        _probe(temporary)
        if form.name == "WAV":
            wav.mark(temporary, about.cues, about.loop, rate, tags.id3(about.tags))
        elif form.name != "MP3":
            tags.name_tempo(temporary, about.tags)


def fill(write: Write, blocks: Generator[np.ndarray]) -> Iterator[int]:
    """Write blocks, yield how many frames there are then, and end the work if that fails."""
    with closing(blocks):
        for block in blocks:
            yield write(block)


@contextmanager
def _opened(path: Path, form: Format, rate: int, told: Tags) -> Iterator[SoundFile]:
    """Open a file to write sound to; where it begins with tags, libsndfile goes on after them."""
    from soundfile import SoundFile

    with path.open("wb+") as whole:
        if form.name == "MP3":
            whole.write(tags.id3(told))
            whole.flush()
        with SoundFile(
            whole.fileno(), "w", rate, 2, form.samples, format=form.name, closefd=False
        ) as file:
            if form.name != "MP3":
                tags.give(file, told)
            yield file


@contextmanager
def _reasons(temporary: Path, path: Path) -> Iterator[None]:
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


def _probe(path: Path) -> None:
    """Write a little more to a file than is in it, and take it away again."""
    with path.open("ab") as file:
        size = file.tell()
        file.write(bytes(_PROBE))
        file.flush()
        file.truncate(size)
