"""Charts for the players: written out, demo tunes, drawn by chance, and forms in every feel."""

from fractions import Fraction
from itertools import product
from pathlib import Path
from typing import NamedTuple

import chartkit.charts
import pytest
from hypothesis import strategies as st
from pairing import pairs

from chartkit.arrange import arrange
from chartkit.feel import FEELS
from chartkit.reader import parse, read
from chartkit.take import Take
from chartkit.theory.key import Key

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


# --- every feel -----------------------------------------------------------------------------------

FORMS = {
    "blues": "F7 | Bb7 | F7 | Cm7 F7 | Bb7 | Bo7 | F7 | D7b9 | Gm7 | C7 | F7 D7 | Gm7 C7",
    "turns": "Cmaj7 A7 | Dm7 G7 | Em7 A7 | Dm7 G7 | Gm7 C7 | Fmaj7 Fm7 | Em7 A7 | Dm7 G7",
    "minor": "Am7b5 | D7b9 | Gm6 | Gm6 | Cm7 | F7 | Bbmaj7 | Ebmaj7 | Am7b5 | D7alt | Gm(maj7)",
    "still": "Dm7 | Dm7 | Dm7 | Dm7 | Ebm7 | Ebm7 | Dm7 | Dm7",
    "hits": "Cm7! | N.C. | Fm7 | >Bb7 | Ebmaj7 | Abmaj7 G7! | Cm7 >F7 | Bb7 | >Fm7 | Bb7/F | >Eb6",
    "slashes": "C | Dm7/C | G7/C | C | Am7 Am7/G | F#m7b5 Fmaj7 | C/E D7 | Dm7/G G7",
}
"""Progressions of our own, a bar between bar lines, one or two chords to a bar."""

HALVES = {"4/4": (2, 2), "3/4": (2, 1), "5/4": (3, 2), "6/4": (3, 3), "12/8": (2, 2)}
"""The beats of a bar, where it is parted for a second chord."""


class Case(NamedTuple):
    """One form in one feel, and what else is chosen for it."""

    feel: str
    form: str
    tonic: int
    seed: int
    pace: int
    loop: bool

    @property
    def take(self):
        row = FEELS[self.feel]
        meter = row.meters[0]
        bars = " | ".join(spread(bar, HALVES[meter]) for bar in FORMS[self.form].split(" | "))
        text = f"Key: C\nMeter: {meter}\nFeel: {self.feel}\n\n[A]\n| {bars} |\n"
        chart = parse(text, "case.chart").chart
        tempo = row.slowest + Fraction(self.pace, 2) * (row.fastest - row.slowest)
        key = Key.written(self.tonic, "major")
        return Take(chart, key=key, tempo=Fraction(tempo), times=2, loop=self.loop, seed=self.seed)


def spread(bar, beats):
    """A bar's chords over its beats; a second one begins its second group."""
    symbols = bar.split()
    return " ".join(
        " ".join((symbol, *"/" * (length - 1)))
        for symbol, length in zip(symbols, beats if len(symbols) > 1 else [sum(beats)], strict=True)
    )


BUILT = [name for name, row in FEELS.items() if row.built]
CHOICES = (BUILT, [*FORMS], range(12), range(5), range(3), (True, False))


@pytest.fixture(
    params=[Case(*chosen) for chosen in pairs(CHOICES)], ids=lambda case: "-".join(map(str, case))
)
def case(request):
    """A form in a feel: any two choices of feel, form, key, seed, tempo and kind of take meet."""
    return request.param


@pytest.fixture(scope="session")
def all_cases():
    """Every form in every feel, key, seed, tempo and kind of take."""
    return [Case(*choice) for choice in product(*CHOICES)]
