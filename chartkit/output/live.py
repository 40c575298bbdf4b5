"""Music on the machine's sound device, as it is made.

Conventions: time in milliseconds of FluidSynth's sequencer, which counts the frames that have been
played, so that nothing drifts from the sound. Events are handed over well before their time, as
exact times rounded one by one; a loop goes on and on without a seam, since its sound never stops.
"""

from __future__ import annotations

import os
import sys
import time
from bisect import bisect_left
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, closing, contextmanager
from fractions import Fraction
from heapq import merge
from itertools import count
from operator import itemgetter
from pathlib import Path
from typing import Final, NamedTuple

from chartkit.errors import SoundError
from chartkit.output.player import CHANNELS, Event, Synth
from chartkit.output.soundfonts import levels, touch
from chartkit.output.synth import synth_library
from chartkit.output.timeline import Hit, heard, tick, within
from chartkit.track import GRID, Performance

DRIVER_VARIABLE: Final = "CHARTKIT_AUDIO_DRIVER"
"""The environment variable that names FluidSynth's audio driver; ``file:NAME`` plays to a file."""

_DRIVERS: Final = ("", "pipewire", "pulseaudio", "alsa", "coreaudio", "wasapi", "dsound", "oss")
"""What is tried in turn; the empty name is the library's own choice."""

_RATE: Final = 44_100
_HEADROOM: Final = 3.0
"""Softer than a file by so many dB, since nothing limits the peaks here."""

_START: Final = 300
"""Milliseconds before the first beat, in which the device gets going."""

_AHEAD: Final = 2_000
"""Events are handed over at most so many milliseconds before their time."""

_NAP: Final = 0.25
"""Seconds between hand-overs."""

_LONGEST_DECAY: Final = 8_000


def play_live(
    performance: Performance,
    *,
    soundfont: Path,
    a4: float = 440.0,
    then: Performance | None = None,
) -> None:
    """Play a performance on the sound device; a loop until KeyboardInterrupt.

    Parameters
    ----------
    performance : Performance
    soundfont : Path
    a4 : float
        Tuning of A4 in Hz.
    then : Performance or None
        A loop of the same parts that goes on where the first one, played once, has ended.

    Raises
    ------
    SoundError
        There is no synthesiser library, no usable soundfont, or no sound device.
    KeyboardInterrupt
        The player has stopped it; the sound is off.
    """
    programs = {track.part: track.program for track in performance.tracks}
    usual = levels(performance, soundfont, _RATE)
    softer = {part: level - _HEADROOM for part, level in usual.items()}
    own = touch(performance, soundfont)
    with ExitStack() as stack:
        synth = stack.enter_context(
            Synth(soundfont, programs, levels=softer, rate=_RATE, a4=a4, touch=own)
        )
        sequencer = stack.enter_context(closing(_Sequencer(synth)))
        stack.enter_context(_device(synth))
        last = _START
        for at, event in events(performance, then):
            last = _START + round(1000 * at)
            sequencer.wait(last)
            sequencer.send(event, last)
        while sequencer.now < last + (_LONGEST_DECAY if synth.sounding else 0):
            time.sleep(_NAP)


def events(
    performance: Performance, then: Performance | None = None
) -> Iterator[tuple[Fraction, Event]]:
    """Yield (seconds from the start, event) in order; for a loop without end.

    With another to go on with, the first is played once and rings on into that.
    """
    if then is None:
        yield from _events(performance, count() if performance.loop else (0,))
        return
    tempo = performance.tempo
    turn = tempo.seconds(performance.length) - tempo.seconds(performance.start)
    once = _events(performance, (0,))
    later = ((turn + at, event) for at, event in events(then))
    yield from merge(once, later, key=itemgetter(0))


def _events(performance: Performance, rounds: Iterable[int]) -> Iterator[tuple[Fraction, Event]]:
    """Yield the events of these rounds, counted from 0, and the releases that come after them."""
    first, length = tick(performance.start), tick(performance.length)
    tempo = performance.tempo
    parts = [(CHANNELS[track.part], heard(performance, track)) for track in performance.tracks]
    waiting = [
        due
        for channel, part in parts
        for due in _dues(channel, within((*part.before, *part.over), first, length))
    ]
    one_round = [due for channel, part in parts for due in _dues(channel, part.round)]
    start, elapsed = 0, Fraction(0)
    for number in rounds:
        start = number * length
        waiting = sorted([*waiting, *(due.later(start) for due in one_round)])
        end = bisect_left(waiting, (start + length,))
        elapsed = number * tempo.seconds(performance.length) - tempo.seconds(performance.start)
        for due in waiting[:end]:
            yield elapsed + tempo.seconds(Fraction(due.tick - start, GRID)), due.event
        waiting = waiting[end:]
    for due in waiting:
        yield elapsed + tempo.seconds(Fraction(due.tick - start, GRID)), due.event


class _Due(NamedTuple):
    """An event and its tick; sorts by time, releases first."""

    tick: int
    event: Event

    def later(self, ticks: int) -> _Due:
        return _Due(self.tick + ticks, self.event)


def _dues(channel: int, hits: Iterable[Hit]) -> Iterator[_Due]:
    for hit in hits:
        yield _Due(hit.start, Event(0, hit.velocity, channel, hit.pitch))
        yield _Due(hit.end, Event(0, 0, channel, hit.pitch))


class _Sequencer:
    """FluidSynth's sequencer on a synthesiser, in step with the frames that it plays."""

    def __init__(self, synth: Synth) -> None:
        self._library = synth_library()
        self._touched = synth.touched
        self._sequencer = self._library.new_fluid_sequencer2(0)
        self._synth = self._library.fluid_sequencer_register_fluidsynth(
            self._sequencer, synth.handles[0]
        )

    def close(self) -> None:
        """Forget what has not been played, and stop."""
        self._library.delete_fluid_sequencer(self._sequencer)

    @property
    def now(self) -> int:
        """Milliseconds of sound so far."""
        return int(self._library.fluid_sequencer_get_tick(self._sequencer))

    def wait(self, until: int) -> None:
        """Sleep until a time is near."""
        while until > self.now + _AHEAD:
            time.sleep(_NAP)

    def send(self, event: Event, at: int) -> None:
        """Have an event played at its time."""
        made = self._library.new_fluid_event()
        self._library.fluid_event_set_source(made, -1)
        self._library.fluid_event_set_dest(made, self._synth)
        if velocity := self._touched(event):
            self._library.fluid_event_noteon(made, event.channel, event.key, velocity)
        else:
            self._library.fluid_event_noteoff(made, event.channel, event.key)
        self._library.fluid_sequencer_send_at(self._sequencer, made, at, 1)
        self._library.delete_fluid_event(made)


@contextmanager
def _device(synth: Synth) -> Iterator[None]:
    """Play a synthesiser on the first sound device that opens."""
    library = synth_library()
    named = os.environ.get(DRIVER_VARIABLE)
    drivers = (named,) if named else _DRIVERS
    with _nothing_on_stderr():
        driver = next(filter(None, (_opened(synth, name) for name in drivers)), None)
    if driver is None:
        raise SoundError(
            "there is no sound device to play on: write a file instead, or on Linux install the "
            "system's own FluidSynth with `apt install libfluidsynth3`"
        )
    try:
        yield
    finally:
        library.delete_fluid_audio_driver(driver)


def _opened(synth: Synth, name: str) -> int | None:
    """Return a running audio driver, or None if there is no such driver or it has no device."""
    library, (handle, settings) = synth_library(), synth.handles
    kind, _, file = name.partition(":")
    for setting, value in (("audio.driver", kind), ("audio.file.name", file)):
        if value:
            library.fluid_settings_setstr(settings, setting.encode(), value.encode())
    driver: int | None = library.new_fluid_audio_driver(settings, handle)
    return driver


@contextmanager
def _nothing_on_stderr() -> Iterator[None]:
    """Keep the system's sound libraries from printing, below Python, why a device fails."""
    sys.stderr.flush()
    kept = os.dup(2)
    nothing = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nothing, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nothing)
