"""Levels by soundfont: what is kept is what is measured, and the mix is where it should be."""

from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path

import chartkit.charts
import numpy as np
import pytest

from chartkit.make import performance as perform
from chartkit.output import audio, calibrate, soundfonts, stretches
from chartkit.output.events import piece
from chartkit.output.loudness import integrated
from chartkit.output.soundfonts import KNOWN, PACE, TARGETS, levels
from chartkit.reader import read
from chartkit.take import Take

RATE = 44_100

FONTS = [
    Path(find_spec("pretty_midi").submodule_search_locations[0], "TimGM6mb.sf2"),
    Path("/usr/share/sounds/sf2/TimGM6mb.sf2"),
    Path("/usr/share/sounds/sf2/FluidR3_GM.sf2"),
    Path("/usr/share/sounds/sf3/FluidR3Mono_GM.sf3"),
]
CHARTS = Path(chartkit.charts.__path__[0])


def installed(font):
    there = font.exists()
    reason = f"{font.name} is not installed"
    return pytest.param(
        font,
        id=f"{font.parent.name}-{font.stem}",
        marks=[] if there else pytest.mark.skip(reason=reason),
    )


needs_font = pytest.mark.parametrize("font", [installed(font) for font in FONTS])


@needs_font
def test_the_levels_kept_are_those_measured(font):
    kept = KNOWN[font.stat().st_size]
    for (part, program), loudness in zip(soundfonts._INSTRUMENTS, kept, strict=True):
        assert calibrate.loudness(font, part, program) == pytest.approx(loudness, abs=0.1)


def test_an_unknown_soundfont_gets_the_same_levels(four_bars, monkeypatch):
    music = four_bars(("bass", "chords", "drums", "line"))
    kept = levels(music, FONTS[0])
    monkeypatch.setattr(soundfonts, "KNOWN", {})
    assert levels(music, FONTS[0]) == pytest.approx(kept, abs=0.1)


def test_other_parts_change_nothing(four_bars):
    alone = levels(four_bars(("bass",)), FONTS[0])
    assert levels(four_bars(), FONTS[0])["bass"] == alone["bass"]


def sound(music, font):
    """A performance before its peaks are limited."""
    synth = audio._maker(music, font, RATE, 440.0)
    return np.concatenate(list(stretches.sounding(piece(music, RATE).body, synth, RATE))[1:])


@needs_font
@pytest.mark.parametrize("part", TARGETS)
def test_each_part_comes_out_as_loud_as_it_is_to_be(performance, font, part):
    music = performance({part: calibrate._phrase(part)}, 8, tempo=PACE)
    length = round(8 * 60 / PACE * RATE)
    assert integrated(sound(music, font)[:length], RATE) == pytest.approx(TARGETS[part], abs=0.2)


@pytest.mark.parametrize("font", [installed(font) for font in (FONTS[0], *FONTS[2:])])
@pytest.mark.parametrize(
    ("name", "tempo"),
    [("borrowed-bicycle", 220), ("twelve-doors", 90), ("lamp-in-the-hallway", 140)],
)
def test_the_band_together_is_near_its_target(font, name, tempo):
    take = Take(read(CHARTS / f"{name}.chart"), seed=2, tempo=Fraction(tempo))
    assert integrated(sound(perform(take), font), RATE) == pytest.approx(-18, abs=1)
