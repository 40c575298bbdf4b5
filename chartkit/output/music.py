"""A performance as a file, or a file for each part, the format told by the ending."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from chartkit.errors import RequestError
from chartkit.output.files import write_bytes
from chartkit.track import Part, Performance


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


def stems_beside(performance: Performance, path: Path) -> dict[Part, Path]:
    """Return where each part that has any notes would go, beside the file of them all.

    Raises
    ------
    RequestError
        It is a MIDI file.
    """
    if path.suffix.lower() == ".mid":
        raise RequestError(
            "a MIDI file has a track for each part as it is: stems are sound, so choose .wav or "
            ".flac"
        )
    from chartkit.output.stems import stem_paths

    return stem_paths(performance, path)


def write_stems(
    performance: Performance,
    paths: Mapping[Part, Path],
    *,
    soundfont: str | None = None,
    a4: float = 440.0,
    progress: Callable[[float], None] | None = None,
) -> None:
    """Write each part as a sound file of its own; see `chartkit.output.stems`.

    The parameters and errors are those of `write`, but for a path for each part.
    """
    from chartkit.output import stems, synth

    font = synth.find_soundfont(soundfont)
    stems.render_stems(performance, paths, soundfont=font, a4=a4, progress=progress)
