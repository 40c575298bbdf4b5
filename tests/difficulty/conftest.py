"""Changes as a player would write them."""

import pytest

from chartkit.form import body
from chartkit.harmony import spans
from chartkit.reader import parse


@pytest.fixture(scope="session")
def music():
    """A function from ``Dm7 G7 | Cmaj7`` to the spans of a loop."""

    def make(text):
        chart = parse(f"Key: C\n\n[A]\n| {text} |\n", "test.chart").chart
        return spans(body(chart), loop=True)

    return make
