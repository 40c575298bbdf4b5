"""Charts for the players: written out, demo tunes, and drawn by chance."""

from pathlib import Path

import chartkit.charts
import pytest
from hypothesis import strategies as st

from chartkit.arrange import arrange
from chartkit.feel import FEELS
from chartkit.reader import parse, read
from chartkit.take import Take

QUALITIES = (
    *("7", "m7", "maj7", "m7b5", "o7", "6", "m6", "7b9", "7alt", "sus4", "7sus", "aug", "m(maj7)"),
    *("", "m", "9", "13", "7#11", "5"),
)
ROOTS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")


def play_text(text, **wanted):
    """The arrangement of sections written in the chart language."""
    if not text.lstrip().startswith(("[", "Key", "Meter", "Feel", "Pickup")):
        text = f"[A]\n| {text} |\n"
    reading = parse(text, "test.chart")
    assert reading.chart, [str(fault) for fault in reading.faults]
    return arrange(Take(reading.chart, **wanted))


@st.composite
def chords(draw):
    root = draw(st.sampled_from(ROOTS))
    bass = draw(st.sampled_from(("",) * 7 + ("/G", "/C", "/Eb")))
    return root + draw(st.sampled_from(QUALITIES)) + bass


@st.composite
def bars(draw, plain):
    """One bar of 1-7 quarters, each token a beat: new chords, holds, pushes, stops and breaks."""
    beats = 4 if plain else draw(st.sampled_from((4, 4, 4, 4, 4, 3, 2, 5, 6, 7, 1)))
    tokens = []
    for beat in range(beats):
        fresh = draw(st.integers(0, 9)) < (7 if beat == 0 else 4 if beat == beats // 2 else 1)
        if not fresh:
            tokens.append("/")
        elif not plain and draw(st.integers(0, 19)) == 0:
            tokens.append("N.C.")
        else:
            push, stop = (
                ("", "")
                if plain
                else draw(st.sampled_from((("", ""),) * 8 + ((">", ""), ("", "!"), (">", "!"))))
            )
            tokens.append(push + draw(chords()) + stop)
    return f"{{{beats}/4}} " * (not plain) + " ".join(tokens)


@st.composite
def texts(draw, plain=False, bars_at_least=1):
    """A section that begins with a chord."""
    first = draw(chords())
    rest = draw(st.lists(bars(plain), min_size=bars_at_least - 1, max_size=12))
    return " | ".join((f"{first} / / /", *rest))


@pytest.fixture(scope="session")
def arranged():
    return play_text


@pytest.fixture(scope="session")
def drawn():
    """A strategy of chart texts in which anything may happen."""
    return texts()


@pytest.fixture(scope="session")
def drawn_plain():
    """A strategy of chart texts in 4/4 without pushes, stops and breaks."""
    return texts(plain=True, bars_at_least=4)


def _demos():
    folder = Path(chartkit.charts.__file__).parent
    charts = {path.stem: read(str(path)) for path in sorted(folder.glob("*.chart"))}
    return {name: chart for name, chart in charts.items() if FEELS[chart.feel].built}


@pytest.fixture(scope="session", params=_demos().items(), ids=lambda item: item[0])
def demo(request):
    """A demo chart of a feel that can be played."""
    return request.param[1]
