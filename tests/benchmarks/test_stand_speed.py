"""From a request of the page to its music and its sound, in a stand that has just begun.

The yardstick within one run is the bare `fluidsynth` program on the same music, its start and the
loading of its soundfont included, for it makes one file and no page. The aim for a section of 8 to
16 bars is under a second on an idle machine of two cores.
"""

import shutil
import subprocess
import time

import pytest

from chartkit.make import performance
from chartkit.output import midi
from chartkit.output.synth import find_soundfont
from chartkit.stand.asked import asked_of, take_of
from chartkit.stand.programme import Programme
from chartkit.stand.shelf import Shelf
from chartkit.stand.store import Store
from chartkit.stand.workshop import Workshop

REQUESTS = {
    "8 bars": {"bars": [1, 8]},
    "16 bars": {"bars": [1, 16]},
    "8 bars, an exercise": {"bars": [1, 8], "exercise": {"kind": "arpeggio"}},
    "16 bars, an exercise": {"bars": [1, 16], "exercise": {"kind": "connected"}},
}
TURNS = 4
MOST = 3.0
"""Times the bare program's time, which no request may take."""


def tell(sentence):
    print(f"\n{sentence}")  # noqa: T201 (figures are what a measurement is for)


@pytest.mark.skipif(not shutil.which("fluidsynth"), reason="fluidsynth is not installed")
@pytest.mark.parametrize("what", REQUESTS)
def test_first_sound(benchmark, tmp_path, what):
    shelf = Shelf()
    workshop = Workshop(shelf, Store(tmp_path / "sound"), Programme(shelf).work)
    font, bare, ours = find_soundfont(), [], []
    chart = shelf.chart("sixteen-marbles")

    def turn():
        request = {"tune": "sixteen-marbles", "seed": len(ours), **REQUESTS[what]}
        music = performance(take_of(asked_of(request), chart))
        (tmp_path / "a.mid").write_bytes(midi.encode(music))
        program = ("fluidsynth", "-niq", "-F", tmp_path / "a.wav", font, tmp_path / "a.mid")
        begun = time.perf_counter()
        subprocess.run(program, check=True, capture_output=True)
        bare.append(time.perf_counter() - begun)
        begun = time.perf_counter()
        work = workshop.ask(asked_of(request), request).result()
        ours.append(time.perf_counter() - begun)
        assert work["systems"]
        assert len(work["sound"]["parts"]) >= 4

    benchmark.pedantic(turn, rounds=TURNS, warmup_rounds=1)
    workshop.close()
    ratio = min(ours) / min(bare)
    benchmark.extra_info |= {"bare": min(bare), "ours": min(ours), "ratio": ratio}
    tell(f"{what}: {min(ours):.2f} s, bare {min(bare):.2f} s, ratio {ratio:.2f}")
    assert ratio < MOST
