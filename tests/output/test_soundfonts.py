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


# The figures kept are of FluidSynth 2.3.1; 2.5.7 plays everything 0.4 dB louder.
VERSIONS = 0.5


def spread(found, expected):
    """The middle of what one table is over another, and how far apart the two ends of that are."""
    over = [one - other for one, other in zip(found, expected, strict=True)]
    return (max(over) + min(over)) / 2, max(over) - min(over)


@needs_font
def test_the_levels_kept_are_those_measured(font):
    measured = [calibrate.loudness(font, *instrument) for instrument in soundfonts._INSTRUMENTS]
    middle, apart = spread(measured, KNOWN[font.stat().st_size])
    assert abs(middle) < VERSIONS
    assert apart < 0.2, "the instruments against each other"


def test_an_unknown_soundfont_gets_the_same_levels(four_bars, monkeypatch):
    music = four_bars(("bass", "chords", "drums", "line"))
    kept = levels(music, FONTS[0])
    monkeypatch.setattr(soundfonts, "KNOWN", {})
    measured = levels(music, FONTS[0])
    assert measured.keys() == kept.keys()
    middle, apart = spread(measured.values(), kept.values())
    assert abs(middle) < VERSIONS
    assert apart < 0.2


def test_other_parts_change_nothing(four_bars):
    alone = levels(four_bars(("bass",)), FONTS[0])
    assert levels(four_bars(), FONTS[0])["bass"] == alone["bass"]


def sound(music, font):
    """A performance before its peaks are limited."""
    synth = audio.maker(music, font, RATE, 440.0)
    return np.concatenate(list(stretches.sounding(piece(music, RATE).body, synth, RATE))[1:])


@needs_font
@pytest.mark.parametrize("part", TARGETS)
def test_each_part_comes_out_as_loud_as_it_is_to_be(performance, font, part):
    music = performance({part: calibrate._phrase(part)}, 8, tempo=PACE)
    length = round(8 * 60 / PACE * RATE)
    assert integrated(sound(music, font)[:length], RATE) == pytest.approx(
        TARGETS[part], abs=VERSIONS
    )


@pytest.mark.parametrize("font", [installed(font) for font in (FONTS[0], *FONTS[2:])])
@pytest.mark.parametrize(
    ("name", "tempo"),
    [("borrowed-bicycle", 220), ("twelve-doors", 90), ("lamp-in-the-hallway", 140)],
)
def test_the_band_together_is_near_its_target(font, name, tempo):
    take = Take(read(CHARTS / f"{name}.chart"), seed=2, tempo=Fraction(tempo))
    assert integrated(sound(perform(take), font), RATE) == pytest.approx(-18, abs=1)
