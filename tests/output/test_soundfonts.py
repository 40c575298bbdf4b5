"""Levels by soundfont: what is kept is what is measured, and the mix is where it should be.

The loudness table: ``python -m pytest -m sweep tests/output/test_soundfonts.py -s`` prints it.
"""

from dataclasses import replace
from fractions import Fraction
from functools import cache
from importlib.util import find_spec
from pathlib import Path

import chartkit.charts
import numpy as np
import pyloudnorm
import pytest
from scipy.signal import resample_poly

from chartkit.errors import ChartkitError
from chartkit.feel import FEELS
from chartkit.make import performance as perform
from chartkit.output import calibrate, corrections, energies, soundfonts
from chartkit.output.audio import maker
from chartkit.output.energies import playing
from chartkit.output.events import Strike, piece
from chartkit.output.frames import frames
from chartkit.output.loudness import integrated
from chartkit.output.soundfonts import TOGETHER, levels
from chartkit.output.stems import part_frames
from chartkit.reader import parse, read
from chartkit.take import Take

RATE = 44_100

PACKAGED = Path(find_spec("pretty_midi").submodule_search_locations[0], "TimGM6mb.sf2")
FONTS = {
    "TimGM6mb": PACKAGED,
    "FluidR3": Path("/usr/share/sounds/sf2/FluidR3_GM.sf2"),
    "FluidR3Mono": Path("/usr/share/sounds/sf3/FluidR3Mono_GM.sf3"),
}
CHARTS = Path(chartkit.charts.__path__[0])

# The figures kept are of FluidSynth 2.3.1; 2.5.7 plays everything 0.4 dB louder.
VERSIONS = 0.5


def installed(name):
    there = FONTS[name].exists()
    return pytest.param(
        FONTS[name],
        id=name,
        marks=[] if there else pytest.mark.skip(reason=f"{name} is not installed"),
    )


needs_font = pytest.mark.parametrize("font", [installed(name) for name in FONTS])


@needs_font
@pytest.mark.parametrize(
    ("part", "program", "key"), [("bass", 32, 40), ("line", 26, 64), ("drums", 32, 51)]
)
def test_the_energies_kept_are_those_measured(font, part, program, key, monkeypatch):
    monkeypatch.setattr(calibrate, "PERCUSSION", (key,))
    monkeypatch.setattr(calibrate, "KEYS", (key,))
    [(_, measured)] = calibrate.energies(font, part, program)
    kept = dict(energies._table(font, part, program))[key]
    over = np.array(measured) - kept
    assert np.abs(over).max() < VERSIONS
    assert np.ptp(over) < 0.3


def test_every_kept_file_has_every_instrument():
    for name in {*corrections.KNOWN.values()}:
        tables = energies._kept(name)
        assert len(tables) == len(calibrate.KEPT)
        for rows in tables.values():
            for _, values in rows:
                assert len(values) == len(calibrate.VELOCITIES) * len(calibrate.LENGTHS)


def test_an_unknown_soundfont_gets_much_the_same_levels(four_bars, monkeypatch):
    music = four_bars(("bass", "chords", "drums", "line"))
    kept = levels(music, PACKAGED, RATE)
    monkeypatch.setattr(energies, "name_of", lambda _: None)
    measured = levels(music, PACKAGED, RATE)
    assert measured == pytest.approx(kept, abs=1.0)


def test_other_parts_change_nothing(four_bars):
    alone = levels(four_bars(("bass",)), PACKAGED, RATE)
    assert levels(four_bars(), PACKAGED, RATE)["bass"] == alone["bass"]


def test_what_is_asked_for_is_added(four_bars):
    usual = levels(four_bars(), PACKAGED, RATE)
    asked = levels(replace(four_bars(), levels=(("bass", -3.0),)), PACKAGED, RATE)
    assert asked["bass"] == pytest.approx(usual["bass"] - 3)
    assert asked["drums"] == usual["drums"]


@pytest.mark.parametrize("tempo", [60, 140, 300])
def test_a_click_is_as_loud_at_every_tempo(note, performance, tempo):
    clicks = [note(at, "1/4", 76 if at % 4 == 0 else 77, 100) for at in range(16)]
    music = performance({"click": clicks}, 16, tempo=tempo)
    usual = levels(replace(music, tempo=performance({}, 1, tempo=140).tempo), PACKAGED, RATE)
    assert levels(music, PACKAGED, RATE) == pytest.approx(usual, abs=0.2)


def test_long_pauses_are_not_playing():
    def strike(start, end):
        blocks = RATE / 64
        return Strike(round(start * blocks), round(end * blocks), 80, 0, 60)

    assert playing([strike(0, 1), strike(1, 10)], 10, RATE) == pytest.approx(10, abs=0.01)
    assert playing([strike(0, 1), strike(7, 10)], 10, RATE) == pytest.approx(6, abs=0.01)
    assert playing([strike(4, 5)], 10, RATE) == pytest.approx(5, abs=0.01)


def test_a_kit_is_put_right_by_softer_strokes_alone():
    for kits in corrections.PIECES.values():
        for pieces in kits.values():
            assert all(decibels < 0 for decibels in pieces.values())
    kick = corrections.touches(PACKAGED, "drums", 32)[36]
    assert 40 * np.log10(kick) == pytest.approx(-7)
    assert corrections.touches(PACKAGED, "bass", 32) == {}


SHORT = """Title: Nine Lids
Key: F major
Meter: {meter}
{feel}
[A]
| Fmaj7 | C7 | Am7 | D7 |
| Gm7 | C7 | Fmaj7 | Bb7 |
| Am7 | D7 | Gm7 | C7 |
"""


def music(feel, tempo, chart=None, **changes):
    """The full band over a demo chart, or over twelve bars in a meter of the feel's own."""
    row = FEELS[feel]
    if chart is None:
        text = SHORT.format(meter=row.meters[0], feel=f"Feel: {feel}")
        read_chart = parse(text, "").chart
        assert read_chart, parse(text, "").faults
    else:
        read_chart = read(CHARTS / f"{chart}.chart")
    return perform(Take(read_chart, feel=feel, tempo=Fraction(tempo), **changes))


def tempos(feel):
    row = FEELS[feel]
    return (row.slowest, row.tempo, row.fastest)


@cache
def measured(feel, tempo, font, chart=None, seed=0):
    """Seconds, loudness as pyloudnorm has it, and true peak of a mix as it is written."""
    performed = music(feel, tempo, chart, seed=seed, times=1 + (tempo >= 150))
    blocks = frames(piece(performed, RATE), maker(performed, font, RATE), RATE)
    whole = np.concatenate(list(blocks))
    loud = pyloudnorm.Meter(RATE).integrated_loudness(whole.astype(float))
    # ITU-R BS.1770-4, annex 2: four times oversampled
    peak = 20 * np.log10(np.abs(resample_poly(whole, 4, 1)).max())
    return len(whole) / RATE, loud, peak


def told(feel, tempo, name, found):
    seconds, loud, peak = found
    return f"{feel:18}{tempo:4} {name:12}{seconds:6.1f} s {loud:6.2f} LUFS {peak:6.2f} dBTP"


# Each feel once, each tempo and each soundfont with others in turn.
COVER = [
    (feel, tempos(feel)[number % 3], list(FONTS)[number % 2]) for number, feel in enumerate(FEELS)
]


@pytest.mark.parametrize(("feel", "tempo", "name"), COVER)
def test_the_band_has_one_loudness_and_no_peaks(feel, tempo, name):
    if not FONTS[name].exists():
        pytest.skip(f"{name} is not installed")
    found = measured(feel, tempo, FONTS[name])
    assert found[0] >= 10
    assert found[1] == pytest.approx(TOGETHER, abs=0.5), told(feel, tempo, name, found)
    assert found[2] < -1, told(feel, tempo, name, found)


@pytest.mark.sweep
def test_the_loudness_table():
    beyond = []
    for feel in FEELS:
        for tempo in tempos(feel):
            for name in ("TimGM6mb", "FluidR3"):
                if not FONTS[name].exists():
                    continue
                charts = [None]
                for chart in sorted(p.stem for p in CHARTS.glob("*.chart")):
                    try:
                        music(feel, tempo, chart)
                    except ChartkitError:
                        continue
                    charts.append(chart)
                for number, chart in enumerate(charts[:3]):
                    found = measured(feel, tempo, FONTS[name], chart, seed=number)
                    row = f"{told(feel, tempo, name, found)}  {chart or 'twelve bars'}"
                    print(row, flush=True)  # noqa: T201 (the table is what the sweep is for)
                    if found[0] >= 10 and (abs(found[1] - TOGETHER) > 0.5 or found[2] >= -1):
                        beyond.append(row)
    assert not beyond, "\n".join(beyond)


@pytest.mark.parametrize("left_out", ["bass", "chords", "drums"])
def test_leaving_a_part_out_leaves_the_others_as_loud(left_out):
    whole = music("swing", 140)
    kept = replace(whole, tracks=tuple(t for t in whole.tracks if t.part != left_out))
    before, after = part_frames(whole, soundfont=PACKAGED), part_frames(kept, soundfont=PACKAGED)
    for part, sound in after.items():
        # a voice that another part has used begins a little differently: hence not to the bit
        assert integrated(sound, RATE) == pytest.approx(integrated(before[part], RATE), abs=0.1)


def test_levels_are_the_same_whichever_parts_are_asked_for():
    whole = levels(music("swing", 140), PACKAGED, RATE)
    for part in ("bass", "chords", "drums"):
        alone = levels(music("swing", 140, parts=(part,)), PACKAGED, RATE)
        assert alone[part] == whole[part]
    assert soundfonts.target("bass") > soundfonts.target("chords")
