"""The sound of a day: each item by itself, and the whole of it in one.

Conventions: 44,100 frames a second. An item's file is exactly as long as planned, its count-in and
its rest included: in the rest the last notes die away. The whole day is the items end to end, so
that the markers of its items stand at the sums of their lengths.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import accumulate
from pathlib import Path
from typing import TYPE_CHECKING, Final

from chartkit.output import chapters
from chartkit.output.audio import RATE, maker
from chartkit.output.events import piece
from chartkit.output.frames import frames
from chartkit.output.recording import About, check, recording
from chartkit.output.tags import Tags
from chartkit.track import Performance, Track

if TYPE_CHECKING:
    import numpy as np

    from chartkit.practice.item import Item

CHAPTERED: Final = (".flac", ".ogg")
"""Endings of files that have their markers among their comments; a WAV file has cues."""

_FADE: Final = RATE // 2
"""Frames over which a decay is faded that is longer than the rest."""

_BLOCK: Final = 2**16
"""Frames read at a time."""


def frames_of(item: Item) -> int:
    """Return how many frames an item's file has."""
    return round(item.seconds * RATE)


def starts(items: Sequence[Item]) -> tuple[int, ...]:
    """Return the frame of the whole day at which each item starts."""
    return tuple(accumulate((frames_of(item) for item in items[:-1]), initial=0))


def write_item(item: Item, performance: Performance, path: Path, soundfont: Path) -> None:
    """Write an item's sound.

    Parameters
    ----------
    item : Item
    performance : Performance
        Going round; see `chartkit.make_today.items.item_playable`.
    path : Path
    soundfont : Path

    Raises
    ------
    SoundError
        There is no synthesiser library, or the soundfont is not usable.
    OutputError
        The file cannot be written; nothing is left of it.
    """
    total = frames_of(item)
    played = once_through(performance)
    music = frames(piece(played, RATE), maker(played, soundfont, RATE), RATE)
    with recording(path, check(path, total), RATE, About(Tags(item.title, item.tempo))) as write:
        for block in _exactly(music, total):
            write(block)


def write_whole(items: Sequence[Item], sounds: Sequence[Path], path: Path, title: str) -> None:
    """Write the whole day from the sounds of its items, a marker at each one's start.

    Raises
    ------
    OutputError
        The file cannot be written; nothing is left of it.
    """
    import soundfile

    names = [f"{number}. {item.title}" for number, item in enumerate(items, 1)]
    places = tuple(zip(starts(items), names, strict=True))
    total = sum(map(frames_of, items))
    in_comments = path.suffix in CHAPTERED
    room = chapters.room_for(places, RATE) if in_comments else ""
    about = About(Tags(title, comment=room), places)
    with recording(path, check(path, total), RATE, about) as write:
        for sound in sounds:
            for block in soundfile.blocks(sound, _BLOCK, dtype="int16"):
                write(block)
    if in_comments:
        chapters.mark(path, places, RATE)


def once_through(performance: Performance) -> Performance:
    """Return a performance that goes round as it is heard from the start to its last bar line.

    What leads over the seam is heard before every time round, and not at the end.
    """
    length, rounds = performance.length, performance.rounds
    shifts = [length * number for number in range(rounds)]
    return replace(
        performance,
        tracks=tuple(_through(track, shifts) for track in performance.tracks),
        markers=tuple(m for m in performance.markers if m.start <= length),
        bars=tuple((at + shift, bar) for shift in shifts for at, bar in performance.bars),
        length=length * rounds,
        loop=False,
        rounds=1,
    )


def _through(track: Track, shifts: Sequence[Fraction]) -> Track:
    """Return a track's notes every time round; only clicks stand before zero for themselves."""
    notes = (
        replace(note, start=note.start + shift)
        for shift in shifts
        for note in track.notes
        if not (shift and track.part == "click" and note.start < 0)
    )
    return replace(track, notes=tuple(sorted(notes)))


def _exactly(blocks: Iterator[np.ndarray], total: int) -> Iterator[np.ndarray]:
    """Yield blocks that have so many frames together: cut with a fade, or filled with silence."""
    import numpy as np

    share = np.linspace(1, 0, _FADE, dtype=np.float32)[:, None]
    done = 0
    for block in blocks:
        kept = block[: total - done]
        over = done + len(kept) - (total - _FADE)
        if over > 0:
            first = max(0, len(kept) - over)
            place = done + first - (total - _FADE)
            kept = kept.copy()
            kept[first:] *= share[place : place + len(kept) - first]
        yield kept
        done += len(kept)
        if done == total:
            return
    while done < total:
        silence = np.zeros((min(_BLOCK, total - done), 2), np.float32)
        yield silence
        done += len(silence)
