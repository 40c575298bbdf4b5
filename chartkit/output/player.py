"""One synthesiser: a soundfont loaded, the band's instruments on its channels, ready to sound.

Conventions: audio is 32-bit float stereo, frames by channels; where parts are kept apart, two
channels for each group of them (`groups_apart`), which add up to the mix, the room included.
FluidSynth works in blocks of `BLOCK` frames: a note can only begin at the start of one. Each part
has a channel of its own, so that its level is its own. A synthesiser is used for one stretch of
music and thrown away: one that has played before does not sound exactly like a new one, even after
a reset.
"""

from __future__ import annotations

import ctypes
import math
from collections.abc import Collection, Iterable, Mapping
from itertools import count
from pathlib import Path
from types import MappingProxyType, TracebackType
from typing import TYPE_CHECKING, Final, NamedTuple, Self

from chartkit.errors import SoundError
from chartkit.output.mix import STRIPS, VOLUME
from chartkit.output.synth import synth_library
from chartkit.track import Part

if TYPE_CHECKING:
    import numpy as np

BLOCK: Final = 64
"""Frames in FluidSynth's internal block."""

CHANNELS: Final[dict[Part, int]] = {"bass": 0, "chords": 1, "drums": 2, "click": 3, "line": 4}
"""The synthesiser's channel for each part, so numbered that few groups keep parts apart."""

_GAIN: Final = 20.0
"""The synthesiser's gain in dB, the most that FluidSynth allows."""

_FULL: Final = 127
_USUAL: Final = 100
LOUDEST: Final = _GAIN + 40 * math.log10(_FULL / _USUAL)
"""A part's highest level: full volume instead of the usual one, with that gain. Parts are only ever
softened from there [volume as an attenuation: SoundFont 2.04, 8.4.5]."""

_UNTUNED: Final = ("drums", "click")
_PERCUSSION_BANK: Final = 128
_ATTENUATION: Final = 48
"""SoundFont 2.04, generator 48 `initialAttenuation`, in centibels."""

_WHOLE: Final = 16_000_000
"""A soundfont of at most so many bytes is loaded whole, a larger one sample by sample."""

_ROOM: Final = {"room-size": 0.4, "damp": 0.3, "width": 0.8, "level": 0.5}
"""One small room for the whole band; measured, it lies 22 dB under it."""

_EVEN: Final[Mapping[tuple[int, int], float]] = MappingProxyType({})

_A440: Final = 440.0
_CENTS: Final = 1200

_INT, _POINTER, _FLOAT = ctypes.c_int, ctypes.c_void_p, ctypes.c_float

_WRITE_ARGUMENTS: Final = tuple(
    (name, kind, 1)
    for name, kind in (
        ("synth", _POINTER),
        ("length", _INT),
        ("left", _POINTER),
        ("left_offset", _INT),
        ("left_step", _INT),
        ("right", _POINTER),
        ("right_offset", _INT),
        ("right_step", _INT),
    )
)
_GENERATOR_ARGUMENTS: Final = tuple(
    (name, kind, 1)
    for name, kind in (
        ("synth", _POINTER),
        ("channel", _INT),
        ("generator", _INT),
        ("value", _FLOAT),
    )
)
_PROCESS_ARGUMENTS: Final = tuple(
    (name, kind, 1)
    for name, kind in (
        ("synth", _POINTER),
        ("length", _INT),
        ("effects", _INT),
        ("effect", _POINTER),
        ("outputs", _INT),
        ("output", _POINTER),
    )
)
"""Functions that pyfluidsynth does not declare; 1 marks an argument that goes in."""

_EFFECTS: Final = 4
"""Buffers of effects in each group: reverberation and chorus, left and right."""


class Event(NamedTuple):
    """A key struck, or released where the velocity is 0; sorts by time, releases first."""

    block: int
    velocity: int
    channel: int
    key: int


def groups_apart(parts: Collection[Part]) -> int:
    """Return the fewest groups of channels that keep parts apart.

    FluidSynth puts channel c into group c modulo their number.
    """
    channels = [CHANNELS[part] for part in parts]
    return next(n for n in count(1) if len({c % n for c in channels}) == len(channels))


class Synth:
    """A running synthesiser, used in a ``with`` block.

    Parameters
    ----------
    font : Path
    programs : mapping of Part to int
        General MIDI program from 0 for each part that sounds; for drums, the kit.
    levels : mapping of Part to float
        Each part's level in dB at the synthesiser's gain of 1; at most `LOUDEST`.
    rate : int
        Frames a second, 8,000 to 96,000.
    a4 : float
        Tuning of A4 in Hz.
    groups : int
        Groups of channels that are kept apart, each with its own share of the room.
    touch : mapping of (int, int) to float
        What velocities are multiplied by, by channel and key.

    Raises
    ------
    SoundError
        There is no library, or the soundfont does not load or lacks an instrument.
    """

    def __init__(
        self,
        font: Path,
        programs: Mapping[Part, int],
        *,
        levels: Mapping[Part, float],
        rate: int,
        a4: float = _A440,
        groups: int = 1,
        touch: Mapping[tuple[int, int], float] = _EVEN,
    ) -> None:
        self._library = synth_library()
        self._write = self._library.cfunc("fluid_synth_write_float", _INT, *_WRITE_ARGUMENTS)
        self._process = self._library.cfunc("fluid_synth_process", _INT, *_PROCESS_ARGUMENTS)
        self._groups, self._touch = groups, touch
        self._settings = _settings(rate, groups, dynamic=font.stat().st_size > _WHOLE)
        self._synth = self._library.new_fluid_synth(self._settings)
        try:
            self._load(font, programs, levels)
            self._tune(programs, a4)
        except BaseException:
            self.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Free the synthesiser; nothing can be played on it afterwards."""
        self._library.delete_fluid_synth(self._synth)
        self._library.delete_fluid_settings(self._settings)

    @property
    def handles(self) -> tuple[int, int]:
        """The library's own synthesiser and its settings, for what plays them."""
        return self._synth, self._settings

    @property
    def channels(self) -> int:
        """Channels of sound that it fills: two for each group."""
        return 2 * self._groups

    @property
    def sounding(self) -> bool:
        """Whether any note still sounds, its release included."""
        return bool(self._library.fluid_synth_get_active_voice_count(self._synth))

    def touched(self, event: Event) -> int:
        """Return the velocity that an event is played with; 0 for a release."""
        touch = self._touch.get((event.channel, event.key), 1.0)
        return event.velocity and max(1, round(event.velocity * touch))

    def play(self, event: Event) -> None:
        """Strike or release a key at the start of the next block."""
        if velocity := self.touched(event):
            self._library.fluid_synth_noteon(self._synth, event.channel, event.key, velocity)
        else:
            self._library.fluid_synth_noteoff(self._synth, event.channel, event.key)

    def silence(self, channel: int) -> None:
        """Stop all that sounds on a channel at once."""
        self._library.fluid_synth_all_sounds_off(self._synth, channel)

    def write(self, out: np.ndarray) -> None:
        """Fill a stretch of float32 frames, all of them zero, with what sounds next; whole blocks.

        Its frames lie side by side for one group, its channels for several.
        """
        start = out.ctypes.data
        if self._groups == 1:
            self._write(self._synth, len(out), start, 0, 2, start, 1, 2)
            return
        channels = [start + number * out.strides[1] for number in range(self.channels)]
        sides = (_POINTER * len(channels))(*channels)
        effects = (_POINTER * (_EFFECTS * self._groups))(
            *(channels[2 * group + side % 2] for group in range(self._groups) for side in range(4))
        )
        self._process(
            self._synth,
            len(out),
            len(effects),
            ctypes.addressof(effects),
            len(sides),
            ctypes.addressof(sides),
        )

    def _load(self, font: Path, programs: Mapping[Part, int], levels: Mapping[Part, float]) -> None:
        loaded = self._library.fluid_synth_sfload(self._synth, bytes(font), 0)
        set_generator = self._library.cfunc("fluid_synth_set_gen", _INT, *_GENERATOR_ARGUMENTS)
        if loaded < 0:
            raise SoundError(f"cannot play with {font}: the soundfont is damaged")
        for part, program in programs.items():
            channel = CHANNELS[part]
            if not any(
                self._select(channel, loaded, *preset) for preset in _presets(part, program)
            ):
                raise SoundError(
                    f"{font} has no sound for the {part}: use a General MIDI soundfont"
                )
            for control, value in ((VOLUME, _FULL), *STRIPS[part].controls[1:]):
                self._library.fluid_synth_cc(self._synth, channel, control, value)
            softer = LOUDEST - min(levels[part], LOUDEST)
            set_generator(self._synth, channel, _ATTENUATION, 10 * softer)

    def _select(self, channel: int, font: int, bank: int, program: int) -> bool:
        done = self._library.fluid_synth_program_select(self._synth, channel, font, bank, program)
        return bool(done == self._library.FLUID_OK)

    def _tune(self, programs: Iterable[Part], a4: float) -> None:
        if a4 == _A440:
            return
        away = _CENTS * math.log2(a4 / _A440)
        pitches = (ctypes.c_double * 128)(*(100 * key + away for key in range(128)))
        self._library.fluid_synth_activate_key_tuning(self._synth, 0, 0, b"A4", pitches, 0)
        for part in programs:
            if part not in _UNTUNED:
                self._library.fluid_synth_activate_tuning(self._synth, CHANNELS[part], 0, 0, 1)


def _settings(rate: int, groups: int, *, dynamic: bool) -> int:
    """Return new settings of the library's, to be freed with the synthesiser."""
    library = synth_library()
    settings: int = library.new_fluid_settings()
    numbers = {
        "synth.sample-rate": float(rate),
        "synth.gain": 10 ** (_GAIN / 20),
        **{f"synth.reverb.{name}": value for name, value in _ROOM.items()},
    }
    switches = {
        "synth.chorus.active": 0,
        "synth.dynamic-sample-loading": int(dynamic),
        "synth.audio-channels": groups,
        "synth.audio-groups": groups,
        "synth.effects-groups": groups,
    }
    for name, value in numbers.items():
        library.fluid_settings_setnum(settings, name.encode(), value)
    for name, switch in switches.items():
        library.fluid_settings_setint(settings, name.encode(), switch)
    return settings


def _presets(part: Part, program: int) -> tuple[tuple[int, int], ...]:
    """Return (bank, program) to try for a part: the one asked for, then the bank's first."""
    bank = _PERCUSSION_BANK if part in _UNTUNED else 0
    return (bank, program), (bank, 0)
