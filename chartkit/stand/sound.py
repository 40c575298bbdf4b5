"""Stems as data: one WAV file a part, all of one length, and what they are known by.

Conventions: 16 bits, stereo. Stems are not limited, so that levels can be changed as they play;
`Stems.peak` tells how loud all of them together come to be.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from chartkit.output.audio import RATE
from chartkit.track import Performance

if TYPE_CHECKING:
    import numpy as np

VERSION: Final = 1
"""Of how stems are made; another number makes every kept sound a stranger."""

MIME: Final = {"wav": "audio/wav", "flac": "audio/flac"}


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
    told = repr((VERSION, RATE, font, a4, performance))
    return hashlib.sha256(told.encode()).hexdigest()[:32]


def stems(performance: Performance, soundfont: Path, a4: float, form: str = "wav") -> Stems:
    """Render every part of a performance.

    Parameters
    ----------
    performance : Performance
    soundfont : Path
    a4 : float
        Tuning of A4 in Hz.
    form : {"wav", "flac"}

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


def recoded(wav: bytes, form: str) -> bytes:
    """Return a stem's file in another format, sample for sample."""
    import soundfile

    frames, _ = soundfile.read(io.BytesIO(wav), dtype="int16", always_2d=True)
    return _file(frames, form)


def _peak(sounds: Mapping[str, np.ndarray]) -> float:
    import numpy as np

    if not sounds:
        return 0.0
    return float(np.abs(sum(sounds.values())).max(initial=0.0))


def _file(frames: np.ndarray, form: str) -> bytes:
    import soundfile

    file = io.BytesIO()
    soundfile.write(file, frames, RATE, format=form.upper(), subtype="PCM_16")
    return file.getvalue()
