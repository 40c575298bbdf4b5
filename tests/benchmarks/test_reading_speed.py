"""How long it takes to read and to write charts; nasty texts take no longer than long ones."""

import time
from importlib.resources import files

import pytest
from strategies import NASTY

from chartkit.reader import LIMIT, parse
from chartkit.writer import write

DEMOS = sorted(
    (
        path.read_text(encoding="utf-8")
        for path in files("chartkit.charts").iterdir()
        if path.name.endswith(".chart")
    ),
)


def test_a_thousand_charts_are_read(benchmark):
    texts = [DEMOS[i % len(DEMOS)] for i in range(1000)]
    charts = benchmark.pedantic(lambda: [parse(text, "x").chart for text in texts], rounds=3)
    assert all(charts)


def test_a_thousand_charts_are_written(benchmark):
    charts = [parse(DEMOS[i % len(DEMOS)], "x").chart for i in range(1000)]
    texts = benchmark.pedantic(lambda: [write(chart) for chart in charts], rounds=3)
    assert all(texts)


@pytest.mark.parametrize("piece", NASTY)
def test_time_grows_with_the_length_alone(benchmark, piece):
    """Sixteen times the text takes at most forty times as long: what is quadratic takes 256."""

    def seconds(length):
        text = ("Key: F\n[A]\n" + piece * (length // len(piece)))[:length]
        start = time.process_time()
        parse(text, "x")
        return time.process_time() - start

    ratio = benchmark.pedantic(
        lambda: seconds(LIMIT // 2) / max(seconds(LIMIT // 32), 0.002), rounds=1
    )
    benchmark.extra_info["ratio"] = round(ratio, 1)
    assert ratio < 40
