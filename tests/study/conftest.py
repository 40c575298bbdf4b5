"""Changes as a player would write them, for everything that looks at them."""

import pytest

from chartkit.form import body
from chartkit.harmony import spans
from chartkit.reader import parse
from chartkit.study.report import report


@pytest.fixture(scope="session")
def music():
    """A function from ``Dm7 G7 | Cmaj7`` and a key to spans, in a loop or not."""

    def make(text, key="C major", *, loop=True):
        chart = parse(f"Key: {key}\n\n[A]\n| {text} |\n", "test.chart").chart
        return spans(body(chart), loop=loop)

    return make


@pytest.fixture(scope="session")
def look(music):
    """A function from changes and a key to the report on them."""

    def make(text, key="C major", *, loop=True):
        return report(music(text, key, loop=loop), loop=loop)

    return make
