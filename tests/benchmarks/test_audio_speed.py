"""Sound against the bare `fluidsynth` program, on the same MIDI file and soundfont.

Each test prints its ratio (``-s`` shows it) and puts it in the benchmark's extra information. The
program and chartkit take turns, and the best of each counts.
"""

import json
import shutil
import subprocess
import sys
import time
from dataclasses import replace
from fractions import Fraction
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path

import pytest

from chartkit.make import performance
from chartkit.output import midi
from chartkit.output.audio import render
from chartkit.output.stems import render_stems, stem_paths
from chartkit.reader import parse
from chartkit.take import Take

needs_program = pytest.mark.skipif(
    not shutil.which("fluidsynth"), reason="the program fluidsynth is not installed"
)

FONTS = {
    "TimGM6mb": Path(find_spec("pretty_midi").submodule_search_locations[0], "TimGM6mb.sf2"),
    "FluidR3": Path("/usr/share/sounds/sf2/FluidR3_GM.sf2"),
}
TURNS = 4

TUNE = parse(files("chartkit.charts").joinpath("lamp-in-the-hallway.chart").read_text("utf-8"), "")
TAKE = Take(TUNE.chart, tempo=Fraction(140))
MUSIC = {
    "five choruses of 32 bars": replace(TAKE, times=5, loop=False, count_in=2),
    "32 bars five times round, each the same": replace(TAKE, times=5, same=True),
    "8 bars": replace(TAKE, sections=("A",)),
}


def tell(sentence):
    print(f"\n{sentence}")  # noqa: T201 (figures are what a measurement is for)


def seconds(work):
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


@needs_program
@pytest.mark.parametrize("what", MUSIC)
@pytest.mark.parametrize("font", FONTS)
def test_against_the_bare_program(benchmark, tmp_path, what, font):
    soundfont = FONTS[font]
    if not soundfont.exists():
        pytest.skip(f"{font} is not installed")
    music = performance(MUSIC[what])
    (tmp_path / "a.mid").write_bytes(midi.encode(music))
    program = ("fluidsynth", "-niq", "-F", tmp_path / "bare.wav", soundfont, tmp_path / "a.mid")
    bare, ours = [], []

    def turn():
        bare.append(seconds(lambda: subprocess.run(program, check=True, capture_output=True)))
        ours.append(seconds(lambda: render(music, tmp_path / "a.wav", soundfont=soundfont)))

    benchmark.pedantic(turn, rounds=TURNS)
    ratio = min(ours) / min(bare)
    benchmark.extra_info |= {"bare": min(bare), "ours": min(ours), "ratio": ratio}
    tell(f"{what}, {font}: {min(ours):.2f} s, bare {min(bare):.2f} s, ratio {ratio:.2f}")


@needs_program
@pytest.mark.parametrize("what", MUSIC)
@pytest.mark.parametrize("font", FONTS)
def test_stems_against_the_mix_and_the_bare_program(benchmark, tmp_path, what, font):
    soundfont = FONTS[font]
    if not soundfont.exists():
        pytest.skip(f"{font} is not installed")
    music = performance(MUSIC[what])
    paths = stem_paths(music, tmp_path / "a.wav")
    (tmp_path / "a.mid").write_bytes(midi.encode(music))
    program = ("fluidsynth", "-niq", "-F", tmp_path / "bare.wav", soundfont, tmp_path / "a.mid")
    bare, mix, stems = [], [], []

    def turn():
        bare.append(seconds(lambda: subprocess.run(program, check=True, capture_output=True)))
        mix.append(seconds(lambda: render(music, tmp_path / "a.wav", soundfont=soundfont)))
        stems.append(seconds(lambda: render_stems(music, paths, soundfont=soundfont)))

    benchmark.pedantic(turn, rounds=TURNS)
    to_mix, to_bare = min(stems) / min(mix), min(stems) / min(bare)
    benchmark.extra_info |= {"parts": len(paths), "to the mix": to_mix, "to bare": to_bare}
    tell(
        f"stems of {what}, {font}: {len(paths)} parts {min(stems):.2f} s, mix {min(mix):.2f} s, "
        f"ratio {to_mix:.2f}; bare {min(bare):.2f} s, ratio {to_bare:.2f}"
    )


MEASURED = """
import json, sys
from fractions import Fraction
from pathlib import Path
from importlib.resources import files
from chartkit.make import performance
from chartkit.output.audio import render
from chartkit.reader import parse
from chartkit.take import Take

font, choruses = Path(sys.argv[1]), int(sys.argv[2])
text = files("chartkit.charts").joinpath("lamp-in-the-hallway.chart").read_text("utf-8")
take = Take(parse(text, "").chart, tempo=Fraction(140), times=choruses, loop=False, count_in=2)
music = performance(take)
def megabytes():  # the most this program has held; getrusage would count what started it
    [line] = [l for l in open("/proc/self/status") if l.startswith("VmHWM")]
    return int(line.split()[1]) / 1024

before = megabytes()
render(music, Path("a.wav"), soundfont=font)
print(json.dumps([before, megabytes()]))
"""


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="read as Linux tells it")
@pytest.mark.parametrize("font", FONTS)
def test_memory_of_fifty_choruses_against_five(benchmark, tmp_path, font):
    if not FONTS[font].exists():
        pytest.skip(f"{font} is not installed")

    def peak(choruses):
        words = [sys.executable, "-c", MEASURED, FONTS[font], str(choruses)]
        done = subprocess.run(words, cwd=tmp_path, check=True, capture_output=True, text=True)
        return json.loads(done.stdout)

    (made_few, few), (made_many, many) = peak(5), benchmark.pedantic(peak, (50,), rounds=1)
    benchmark.extra_info |= {"five": few, "fifty": many, "ratio": many / few}
    tell(
        f"{font}: five choruses {few:.0f} MB ({made_few:.0f} before the sound), "
        f"fifty {many:.0f} MB ({made_many:.0f}), ratio {many / few:.2f}"
    )
