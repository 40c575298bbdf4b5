"""How long the players take: 8 bars, 50 choruses of 32 bars, and 32 bars twice in every feel.

Ratios within one run: each feel against swing. Double-time has twice the beats; none may
take more than four times as long.
"""

import random
import time
from fractions import Fraction

import pytest
from fitting import fitted

from chartkit import band
from chartkit.arrange import arrange
from chartkit.band import bass, comping, drums
from chartkit.feel import FEELS
from chartkit.reader import parse
from chartkit.take import BAND, Take
from chartkit.timing import perform

EIGHT = "Cmaj7 A7 | Dm7 G7 | Em7 A7 | Dm7 G7 | Gm7 C7 | Fmaj7 Fm7 | Em7 A7 | Dm7 G7"
TUNE = " | ".join([EIGHT] * 4)
TURNS = 5


@pytest.mark.parametrize("player", [bass, comping, drums], ids=["bass", "chords", "drums"])
@pytest.mark.parametrize(("text", "times"), [(EIGHT, 1), (TUNE, 50)], ids=["8 bars", "50 times 32"])
def test_playing(benchmark, player, text, times):
    chart = parse(f"[A]\n| {text} |\n", "benchmark").chart
    arrangement = arrange(Take(chart, times=times))
    notes = benchmark(lambda: player.play(arrangement, None, random.Random(1)).notes)
    assert notes[-1].start >= text.count("|") * 4 * times


def taken(feel):
    chart = fitted(parse(f"[A]\n| {TUNE} |\n", "benchmark").chart, feel)
    return Take(chart, tempo=Fraction(FEELS[feel].tempo), times=2)


def played(take):
    arrangement = arrange(take)
    return perform(arrangement, band.play(arrangement, BAND, take.seed), take.seed)


def seconds(take):
    """The least of a few turns, the first of which fills the tables that are kept."""
    least = float("inf")
    for _ in range(TURNS):
        start = time.perf_counter()
        played(take)
        least = min(least, time.perf_counter() - start)
    return least


def test_every_feel(capsys):
    """From the request to what is performed."""
    table = {feel: seconds(taken(feel)) for feel in FEELS}
    with capsys.disabled():
        print("\n64 bars            seconds  to swing")  # noqa: T201 (to read)
        for feel, length in table.items():
            print(f"{feel:18s} {length:7.3f} {length / table['swing']:8.2f}")  # noqa: T201
    assert all(length < 4 * table["swing"] for length in table.values())
