"""Live playing, into a file in real time: FluidSynth's own file driver stands for the device."""

import _thread
import itertools
import threading
import time
from dataclasses import replace
from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest
import soundfile

from chartkit.errors import SoundError
from chartkit.output import live
from chartkit.output.live import events, play_live
from chartkit.output.player import CHANNELS

PACKAGED = Path(find_spec("pretty_midi").submodule_search_locations[0], "TimGM6mb.sf2")

RATE = 44_100


@pytest.fixture
def recorded(monkeypatch, tmp_path):
    path = tmp_path / "live.wav"
    monkeypatch.setenv(live.DRIVER_VARIABLE, f"file:{path}")
    return path


def times(music, number):
    """The first so many strikes and releases: (seconds, key, velocity)."""
    return [
        (float(at), event.key, event.velocity)
        for at, event in itertools.islice(events(music), number)
    ]


def test_a_loop_goes_on_without_end(note, performance):
    # three beats at 70: no whole number of milliseconds, nor of frames
    music = performance({"line": [note(0, 1, 60), note(1, 2, 64)]}, 3, tempo=70, loop=True)
    strikes = [
        (at, event.key) for at, event in itertools.islice(events(music), 4000) if event.velocity
    ]
    assert strikes == [
        (Fraction(60 * (3 * number + beat), 70), key)
        for number in range(1000)
        for beat, key in ((0, 60), (1, 64))
    ]


def test_releases_come_before_strikes_of_the_same_time(note, performance):
    music = performance({"line": [note(0, 1, 60), note(1, 1, 60)]}, 2, loop=True)
    assert times(music, 5) == [
        (0.0, 60, 80),
        (0.5, 60, 0),
        (0.5, 60, 80),
        (1.0, 60, 0),
        (1.0, 60, 80),
    ]


def test_a_note_over_the_seam(note, performance):
    music = performance({"chords": [note("-1/2", 1, 60)]}, 4, loop=True)
    # from nothing it is struck at once; then it comes early and rings over
    assert times(music, 4) == [(0.0, 60, 80), (0.25, 60, 0), (1.75, 60, 80), (2.25, 60, 0)]
    counted = replace(music, start=Fraction(-4))
    assert times(counted, 4) == [(1.75, 60, 80), (2.25, 60, 0), (3.75, 60, 80), (4.25, 60, 0)]


def test_one_loop_goes_on_with_another(note, performance):
    """Two beats at 60, once, then three at 120 on and on; what rings over ends where it would."""
    once = performance({"bass": [note(0, 1, 40), note(1, 2, 41)]}, 2, tempo=60, loop=True)
    then = performance({"bass": [note(0, 3, 50)]}, 3, tempo=120, loop=True)
    found = [
        (float(at), event.key, bool(event.velocity))
        for at, event in itertools.islice(events(once, then), 9)
    ]
    strikes = [(at, key) for at, key, struck in found if struck]
    assert strikes == [(0, 40), (1, 41), (2, 50), (3.5, 50), (5, 50)]
    assert found == sorted(found, key=lambda one: one[0])


def test_a_count_in_is_heard_once(note, performance):
    parts = {"click": [note(-2, "1/4", 76)], "bass": [note(0, 1, 40)]}
    music = performance(parts, 2, start=Fraction(-2), loop=True)
    clicks = [
        at
        for at, event in itertools.islice(events(music), 40)
        if event.channel == CHANNELS["click"] and event.velocity
    ]
    assert clicks == [0]


def test_other_music_ends_by_itself(note, performance, recorded):
    music = performance({"line": [note(0, "1/2", 60)]}, 1, tempo=240)
    begun = time.monotonic()
    play_live(music, soundfont=PACKAGED)
    assert time.monotonic() - begun < 5
    assert np.abs(soundfile.read(recorded)[0]).max() > 0.02


def test_what_is_heard_live(note, performance, recorded):
    # a click every half second, round and round in a loop of two
    music = performance({"click": [note(at, "1/4", 76, 110) for at in range(2)]}, 2, loop=True)
    threading.Timer(4.5, _thread.interrupt_main).start()
    with pytest.raises(KeyboardInterrupt):
        play_live(music, soundfont=PACKAGED)
    frames, rate = soundfile.read(recorded)
    assert rate == RATE
    assert len(frames) > 3 * RATE, "in real time"
    loud = np.flatnonzero(np.abs(frames).max(axis=1) > 0.1)
    onsets = loud[np.diff(loud, prepend=-RATE) > RATE // 4]
    assert len(onsets) >= 6
    assert np.abs(np.diff(onsets) - RATE / 2).max() < 0.003 * RATE


@pytest.mark.parametrize("driver", ["oss", "no such driver", "file:/no/such/folder/a.wav"])
def test_no_device_is_one_sentence(monkeypatch, four_bars, capfd, driver):
    monkeypatch.setenv(live.DRIVER_VARIABLE, driver)
    if driver == "oss" and Path("/dev/dsp").exists():
        pytest.skip("there is a device")
    with pytest.raises(SoundError, match="no sound device to play on: write a file instead"):
        play_live(four_bars(), soundfont=PACKAGED)
    assert capfd.readouterr() == ("", "")
