"""Stems as files, and what tells one sound from another."""

import io
import os
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
import soundfile

from chartkit.make import performance
from chartkit.reader import parse
from chartkit.stand import sound
from chartkit.stand.sound import recoded, sound_id
from chartkit.take import Take

MUSIC = performance(Take(parse("Key: C\nTempo: 120\n[A]\n| C6 | G7 |\n", "x").chart))


@pytest.fixture
def font(tmp_path):
    path = tmp_path / "font.sf2"
    path.write_bytes(b"font")
    os.utime(path, ns=(1, 1))
    return path


def test_whatever_changes_the_sound_changes_its_id(font, monkeypatch):
    first = sound_id(MUSIC, font, 440.0)
    assert sound_id(replace(MUSIC), font, 440.0) == first
    softer = replace(MUSIC, levels=(("bass", -3.0),))
    slower = replace(MUSIC, tempo=replace(MUSIC.tempo, steps=((Fraction(0), Fraction(119)),)))
    others = [sound_id(one, font, 440.0) for one in (softer, slower)]
    others.append(sound_id(MUSIC, font, 441.0))
    os.utime(font, ns=(2, 2))
    others.append(sound_id(MUSIC, font, 440.0))
    monkeypatch.setattr(sound, "_recipe", lambda: "another version")
    others.append(sound_id(MUSIC, font, 440.0))
    assert len({first, *others}) == 6


@pytest.mark.parametrize("form", ["wav", "flac", "ogg"])
def test_a_stem_in_another_format_has_as_many_samples(form):
    rng = np.random.default_rng(1)
    frames = (rng.normal(0, 2000, (200_001, 2)).cumsum(axis=0) % 20_000 - 10_000).astype(np.int16)
    file = io.BytesIO()
    soundfile.write(file, frames, 44_100, format="WAV")
    again, rate = soundfile.read(io.BytesIO(recoded(file.getvalue(), form)), dtype="int16")
    assert (rate, again.shape) == (44_100, frames.shape)
    assert form == "ogg" or np.array_equal(again, frames)
