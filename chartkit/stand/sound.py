"""Stems as data: one WAV file a part, all of one length, and what they are known by.

Conventions: 16 bits, stereo. Stems are not limited, so that levels can be changed as they play;
`Stems.peak` tells how loud all of them together come to be.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal

from chartkit.output.audio import RATE
from chartkit.track import Performance

if TYPE_CHECKING:
    import numpy as np

Form = Literal["wav", "flac", "ogg"]

FORMATS: Final[dict[Form, tuple[str, str]]] = {
    "wav": ("WAV", "PCM_16"),
    "flac": ("FLAC", "PCM_16"),
    "ogg": ("OGG", "VORBIS"),
}
"""What libsndfile calls a format and its samples. Vorbis alone loses something."""

_AT_ONCE: Final = 2**16


@dataclass(frozen=True, slots=True)
class Stems:
    """The sound of a performance.

    Parameters
    ----------
    id : str
        Hexadecimal digits that differ for sounds that differ.
    frames : int
        Of every stem.
    peak : float
        The highest sample of all stems together, full scale being 1.
    parts : tuple of (str, bytes)
        Each part's name and its file.
    """

    id: str
    frames: int
    peak: float
    parts: tuple[tuple[str, bytes], ...]


def sound_id(performance: Performance, soundfont: Path, a4: float) -> str:
    """Return what a performance's sound is known by, before it is made."""
    about = soundfont.stat()
    font = (soundfont.name, about.st_size, about.st_mtime_ns)
    told = repr((_recipe(), RATE, font, a4, performance))
    return hashlib.sha256(told.encode()).hexdigest()[:32]


@cache
def _recipe() -> str:
    """Return a digest of all that makes sound: another version's sounds are not the same."""
    made = [one for one in files("chartkit.output").iterdir() if one.is_file()]
    digest = hashlib.sha256()
    for one in sorted(made, key=lambda one: one.name):
        digest.update(one.read_bytes())
    return digest.hexdigest()


def stems(performance: Performance, soundfont: Path, a4: float, form: Form = "wav") -> Stems:
    """Render every part of a performance.

    Parameters
    ----------
    performance : Performance
    soundfont : Path
    a4 : float
        Tuning of A4 in Hz.
    form : {"wav", "flac", "ogg"}

    Raises
    ------
    SoundError
        There is no synthesiser library, or the soundfont is not usable.
    """
    from chartkit.output.stems import part_frames

    made = part_frames(performance, soundfont=soundfont, a4=a4)
    sounds: dict[str, np.ndarray] = dict(made.items())
    return Stems(
        sound_id(performance, soundfont, a4),
        max((len(sound) for sound in sounds.values()), default=0),
        _peak(sounds),
        tuple((part, _file(sound, form)) for part, sound in sounds.items()),
    )


def recoded(wav: bytes, form: Form) -> bytes:
    """Return a stem's file in another format, of as many samples."""
    import soundfile

    frames, _ = soundfile.read(io.BytesIO(wav), dtype="int16", always_2d=True)
    return _file(frames, form)


def _peak(sounds: Mapping[str, np.ndarray]) -> float:
    import numpy as np

    if not sounds:
        return 0.0
    return float(np.abs(sum(sounds.values())).max(initial=0.0))


def _file(frames: np.ndarray, form: Form) -> bytes:
    from soundfile import SoundFile

    file = io.BytesIO()
    name, samples = FORMATS[form]
    with SoundFile(file, "w", RATE, 2, samples, format=name) as written:
        for start in range(0, len(frames), _AT_ONCE):  # an encoder may not take it all at once
            written.write(frames[start : start + _AT_ONCE])
    return file.getvalue()
