"""A performance as a file, its format told by the ending."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from chartkit.output.files import write_bytes
from chartkit.track import Performance


def write(
    performance: Performance,
    path: Path,
    *,
    soundfont: str | None = None,
    a4: float = 440.0,
    progress: Callable[[float], None] | None = None,
) -> None:
    """Write a performance as MIDI (``.mid``) or as audio (any other ending).

    Parameters
    ----------
    performance : Performance
    path : Path
    soundfont : str, optional
        A path; the best that is found by default.
    a4 : float
        Tuning of A4 in Hz.
    progress : callable, optional
        Called with the share that is done, 0 to 1.

    Raises
    ------
    SoundError
        There is no synthesiser or soundfont, and the ending needs one.
    OutputError
        The file cannot be written.
    """
    if path.suffix.lower() == ".mid":
        from chartkit.output import midi

        write_bytes(path, midi.encode(performance))
    else:
        from chartkit.output import audio, synth

        font = synth.find_soundfont(soundfont)
        audio.render(performance, path, soundfont=font, a4=a4, progress=progress)
