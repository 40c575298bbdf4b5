"""A ladder's tempo map and the markers of keys in turn, as text.

``python tests/controls/test_golden.py`` writes them anew; read the difference before keeping it.
"""

from fractions import Fraction
from pathlib import Path

import pytest

from chartkit.arrange import arrange
from chartkit.controls.ladder import Ladder
from chartkit.controls.trading import Trading
from chartkit.reader import parse
from chartkit.take import Take

GOLDEN = Path(__file__).parents[1] / "golden" / "controls"
BLUES = parse(
    "Key: F\nTempo: 120\n[A]\n| F7 | Bb7 | F7 | Cm7 F7 |\n| Bb7 | Bo7 | F7 | Am7b5 D7b9 |\n"
    "| Gm7 | C7 | F7 (D7b9) | (Gm7 C7) |]",
    "blues.chart",
).chart


def tempos(music):
    for beat, tempo in music.tempo.steps:
        yield f"beat {beat}: {float(tempo):g}, {music.tempo.seconds(beat)} s"
    end = music.passes[-1].end
    yield f"beat {end}: end, {music.tempo.seconds(end)} s"


def markers(music):
    keys = [(beat, f"key: {key}") for beat, key in music.keys]
    kinds = ("chorus", "section", "turn", "loop")
    told = [(m.start, f"{m.kind}: {m.text}") for m in music.markers if m.kind in kinds]
    for beat, text in sorted([*keys, *told], key=lambda pair: pair[0]):
        yield f"beat {beat}: {text}"


CASES = {
    "ladder": (
        Take(BLUES, times=7, ladder=Ladder(Fraction(15), Fraction(160), 2), count_in=2),
        tempos,
    ),
    "keys-fourths": (Take(BLUES, times=12, keys=5), markers),
    "trading-over-nothing": (Take(BLUES, times=2, trading=Trading(4, "nothing")), markers),
    "keys-intro-trading": (
        Take(BLUES, times=3, keys=-1, loop=False, intro="vamp", trading=Trading(4)),
        markers,
    ),
}


def text_of(name):
    take, told = CASES[name]
    return "".join(f"{line}\n" for line in told(arrange(take)))


@pytest.mark.parametrize("name", CASES)
def test_it_is_as_written_down(name):
    assert text_of(name) == (GOLDEN / f"{name}.txt").read_text(encoding="utf-8")


if __name__ == "__main__":
    for case in CASES:
        (GOLDEN / f"{case}.txt").write_text(text_of(case), encoding="utf-8")
