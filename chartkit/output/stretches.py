"""Stretches of music into sound, several pieces of time at once.

A stretch is cut into pieces of well under a minute. Each is played from silence on a synthesiser of
its own, and on through its last notes' decay; that tail is added to the piece after it. Sound adds
up, so the pieces join as if the music had been played straight on, wherever it is cut; and the end
of a cycle joins its beginning in the same way, whatever the cycle's length in frames. (Playing the
end again before the beginning would do as well only where that length is whole blocks: elsewhere
a note that rings over the seam would be up to half a block out of step with itself.) What a tail
must hear of the next piece is only what silences it: the next strike in each group of percussion
that chokes itself, sent at the least velocity, 80 dB down.

The cuts depend on the music alone, never on the number of cores, so the sound is the same on any
machine with the same library.
"""

from __future__ import annotations

import math
import os
from bisect import bisect_left
from collections import deque
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from mmap import mmap
from threading import Event as Flag
from typing import TYPE_CHECKING, Final, NamedTuple

from chartkit.output.events import Stretch, Strike
from chartkit.output.player import BLOCK, CHANNELS, Event, Synth

if TYPE_CHECKING:
    import numpy as np

_WHOLE_SECONDS: Final = 20
"""A stretch up to this length is not cut."""

_PAIR_SECONDS: Final = 100
"""The longest pair of pieces: the memory it takes, against the cost of a synthesiser for each."""

TAIL_SECONDS: Final = 8
"""The longest decay that is waited for once the last key of a piece is released."""

_FADE: Final = 2**14
"""Frames over which the last of a decay is faded, where something is left of it."""

_CHUNK: Final = 64
"""Blocks of a decay played at a time."""

_ROOM_SECONDS: Final = 0.5
"""What is waited for the room once every note has ended: it falls by 13 dB in 0.1 s. Going by the
notes alone, not by how loud it is, a decay is as long as the longest of its parts' decays."""

_SAMPLE_BYTES: Final = 4
_STEREO: Final = 2

_MOST_WORKERS: Final = 4
"""Synthesisers at work at once, however many cores there are: each holds a piece in memory."""

RUN_UP: Final = 2048
"""Frames given of what is heard before a stretch begins."""

_CHOKES: Final = ((29, 30), (42, 44, 46), (71, 72), (73, 74), (78, 79), (80, 81))
"""Percussion keys that silence one another [General MIDI 2, percussion sound set, from memory]."""

Maker = Callable[[], Synth]


@dataclass(frozen=True, slots=True)
class Cut:
    """A piece of a stretch.

    Parameters
    ----------
    first : int
        Its first block.
    frames : int
    longest_tail : int
        Blocks that its decay may last.
    room : int
        Chunks that the room is given after its last note.
    strikes : tuple of Strike
        Its notes, and those that choke them.
    """

    first: int
    frames: int
    longest_tail: int
    room: int
    strikes: tuple[Strike, ...]


class Sound(NamedTuple):
    """A piece as it sounds, and its decay after it."""

    body: np.ndarray
    tail: np.ndarray


def sounding(stretch: Stretch, synth: Maker, rate: int) -> Iterator[np.ndarray]:
    """Yield frames: `RUN_UP` of them from before the stretch, then the stretch in long arrays.

    Parameters
    ----------
    stretch : Stretch
    synth : callable
        Makes a new synthesiser, and may be called in several threads.
    rate : int
        Frames a second.

    Yields
    ------
    ndarray
        float32, frames by the synthesiser's channels. Before a cycle its own end is heard, before
        other music silence. A cycle has exactly its frames; after other music comes a last array
        with its decay.
    """
    cuts = cut(stretch, rate)
    work = partial(_sound, synth)
    if not stretch.cycle:
        yield from _once(_in_parallel(work, cuts))
    elif len(cuts) == 1:
        yield from _short_cycle(*work(Flag(), cuts[0]))
    else:
        yield from _long_cycle(_in_parallel(work, (cuts[-1], *cuts[:-1])))


def cut(stretch: Stretch, rate: int) -> tuple[Cut, ...]:
    """Cut a stretch into pieces of nearly the same length, an even number for two at a time."""
    seconds = stretch.frames / rate
    count = 1 if seconds <= _WHOLE_SECONDS else 2 * math.ceil(seconds / _PAIR_SECONDS)
    blocks = math.ceil(stretch.frames / BLOCK)
    firsts = [blocks * number // count for number in range(count)]
    ends = [*firsts[1:], blocks]
    notes = list(_apart(stretch.strikes, firsts))
    following = [*notes[1:], _later(notes[0], stretch.frames) if stretch.cycle else ()]
    return tuple(
        Cut(
            first,
            min(stretch.frames, end * BLOCK) - first * BLOCK,
            _held(own, end) + TAIL_SECONDS * rate // BLOCK,
            math.ceil(_ROOM_SECONDS * rate / BLOCK / _CHUNK),
            (*own, *_chokes(after)),
        )
        for first, end, own, after in zip(firsts, ends, notes, following, strict=True)
    )


def _held(strikes: Sequence[Strike], end: int) -> int:
    """Return the blocks after a piece's end in which keys are still down."""
    return max(0, max((strike.end for strike in strikes), default=end) - end)


def _apart(strikes: Sequence[Strike], firsts: list[int]) -> Iterator[Sequence[Strike]]:
    """Yield the notes from each first block up to the next."""
    places = [bisect_left(strikes, (first,)) for first in firsts]
    for start, end in pairwise([*places, len(strikes)]):
        yield strikes[start:end]


def _later(strikes: Sequence[Strike], frames: int) -> Sequence[Strike]:
    blocks = round(frames / BLOCK)
    return [s._replace(start=s.start + blocks, end=s.end + blocks) for s in strikes]


def _chokes(strikes: Sequence[Strike]) -> Iterator[Strike]:
    """Yield the first of the drums' strikes in each choke group, as soft as can be."""
    for group in _CHOKES:
        for strike in strikes:
            if strike.key in group and strike.channel == CHANNELS["drums"]:
                yield strike._replace(velocity=1)
                break


def _in_parallel(work: Callable[[Flag, Cut], Sound], cuts: Sequence[Cut]) -> Iterator[Sound]:
    """Yield the sound of each piece in order, a few worked on at a time; stop all if abandoned."""
    stop, waiting = Flag(), deque[Future[Sound]]()
    workers = min(_MOST_WORKERS, os.cpu_count() or 1)
    with ThreadPoolExecutor(workers) as pool:
        try:
            for one in cuts:
                waiting.append(pool.submit(work, stop, one))
                if len(waiting) > workers:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            stop.set()
            pool.shutdown(cancel_futures=True)


def _sound(synth: Maker, stop: Flag, piece: Cut) -> Sound:
    """Play a piece and its decay on a new synthesiser."""
    import numpy as np

    silent = 0
    events = deque(_events(piece.strikes))
    blocks = math.ceil(piece.frames / BLOCK)
    end = piece.first + blocks
    with synth() as playing:
        chunks = [_frames(playing, events, piece.first, blocks, stop)]
        for now in range(end, end + piece.longest_tail, _CHUNK):
            chunks.append(_frames(playing, events, now, _CHUNK, stop))
            silent = 0 if events or playing.sounding else silent + 1
            if silent > piece.room:
                break
    tail = np.concatenate([chunks[0][piece.frames :], *chunks[1:]])
    return Sound(chunks[0][: piece.frames], tail)


def _events(strikes: Sequence[Strike]) -> list[Event]:
    struck = [Event(s.start, s.velocity, s.channel, s.key) for s in strikes]
    released = [Event(s.end, 0, s.channel, s.key) for s in strikes]
    return sorted(struck + released)


def _frames(synth: Synth, events: deque[Event], first: int, blocks: int, stop: Flag) -> np.ndarray:
    """Play a number of blocks from the one numbered `first`, using up the events in them."""
    out = _room(blocks * BLOCK, synth.channels)
    done = 0
    while events and events[0].block < first + blocks:
        event = events.popleft()
        at = (event.block - first) * BLOCK
        synth.write(out[done:at])
        synth.play(event)
        done = at
        if stop.is_set():
            raise CancelledError
    synth.write(out[done:])
    return out


def _room(frames: int, channels: int) -> np.ndarray:
    """Return room for frames, all zero, taken from the system and given back to it.

    Tens of megabytes that threads take from the allocator in turn leave its heaps in pieces, and
    memory would grow with the length of the music.
    """
    import numpy as np

    room = np.frombuffer(mmap(-1, frames * channels * _SAMPLE_BYTES), np.float32)
    stereo = channels == _STEREO
    return room.reshape(frames, channels) if stereo else room.reshape(channels, frames).T


def _once(sounds: Iterator[Sound]) -> Iterator[np.ndarray]:
    """Join the pieces of music that is heard once, and let its end die away."""
    import numpy as np

    first = next(sounds)
    yield np.zeros((RUN_UP, first.body.shape[1]), np.float32)
    yield first.body
    tail = yield from _joined(sounds, first.tail)
    tail[-_FADE:] *= np.linspace(1, 0, len(tail[-_FADE:]), dtype=np.float32)[:, None]
    yield tail


def _long_cycle(sounds: Iterator[Sound]) -> Iterator[np.ndarray]:
    """Join the pieces of a cycle, of which the last comes first.

    A note that is held from before the last piece to beyond it would be cut at the seam.
    """
    last = next(sounds)
    yield last.body[-RUN_UP:].copy()
    tail = yield from _joined(sounds, last.tail)
    yield _added(last.body, tail[: len(last.body)])


def _joined(sounds: Iterator[Sound], tail: np.ndarray) -> Generator[np.ndarray, None, np.ndarray]:
    """Yield each piece with what still sounds from before it; return what sounds at the end."""
    for body, own_tail in sounds:
        yield _added(body, tail[: len(body)])
        longer, shorter = sorted((own_tail, tail[len(body) :]), key=len, reverse=True)
        tail = _added(longer, shorter)
    return tail


def _short_cycle(body: np.ndarray, tail: np.ndarray) -> Iterator[np.ndarray]:
    """Add the decay of a cycle's only piece to its beginning, for as many times as it goes on."""
    for start in range(0, len(tail), len(body)):
        _added(body, tail[start : start + len(body)])
    yield body[-RUN_UP:].copy()
    yield body


def _added(frames: np.ndarray, more: np.ndarray) -> np.ndarray:
    """Add what sounds at the same time, in place; return the first."""
    frames[: len(more)] += more
    return frames
