"""How long the bass and the drums take: 8 bars, and 50 choruses of 32 bars."""

import random

import pytest

from chartkit.arrange import arrange
from chartkit.band import bass, drums
from chartkit.reader import parse
from chartkit.take import Take

EIGHT = "Cmaj7 A7 | Dm7 G7 | Em7 A7 | Dm7 G7 | Gm7 C7 | Fmaj7 Fm7 | Em7 A7 | Dm7 G7"
TUNE = " | ".join([EIGHT] * 4)


@pytest.mark.parametrize("player", [bass, drums], ids=["bass", "drums"])
@pytest.mark.parametrize(("text", "times"), [(EIGHT, 1), (TUNE, 50)], ids=["8 bars", "50 times 32"])
def test_playing(benchmark, player, text, times):
    chart = parse(f"[A]\n| {text} |\n", "benchmark").chart
    arrangement = arrange(Take(chart, times=times))
    notes = benchmark(lambda: player.play(arrangement, None, random.Random(1)).notes)
    assert notes[-1].start >= text.count("|") * 4 * times
