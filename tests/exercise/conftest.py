"""Changes made by hand, for everything that plays through them."""

from fractions import Fraction

import pytest

from chartkit.chart import Meter
from chartkit.form import BarId, body
from chartkit.harmony import Span, spans
from chartkit.reader import parse
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import read_symbol

CHART = """\
Title: Changes
Key: {key}
Meter: {meter}

[A]
| {rows} |]
"""


@pytest.fixture(scope="session")
def tune():
    """A function from ``Dm7 G7 | Cmaj7`` to the spans of a chart that goes round."""

    def make(rows, key="C major", meter="4/4"):
        chart = parse(CHART.format(rows=rows, key=key, meter=meter), "changes.chart").chart
        return spans(body(chart), loop=True)

    return make


def chord_of(symbol):
    return None if symbol == "N.C." else read_symbol(symbol).chord


FOUR_FOUR = Meter(4)


@pytest.fixture(scope="session")
def changes():
    """A function from ``Dm7 G7 | Cmaj7`` to spans; the chords of a bar share it equally."""

    def make(text, meter=FOUR_FOUR):
        spans = []
        for index, bar in enumerate(text.split("|")):
            start, symbols = meter.length * index, bar.split()
            share = Fraction(meter.length, len(symbols))
            spans += [
                Span(
                    start=start + share * number,
                    length=share,
                    chord=chord_of(symbol),
                    next_chord=None,
                    scale=None,
                    key=Key(NoteName("C")),
                    bar=BarId("A", index, index + 1),
                    bar_start=start,
                    meter=meter,
                    feel="swing",
                )
                for number, symbol in enumerate(symbols)
            ]
        return tuple(spans)

    return make
