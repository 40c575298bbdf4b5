"""What a player waits for, from the shell, and a thousand charts in one process."""

import subprocess
import sys
from importlib.resources import files

import pytest

from chartkit.cli import run
from chartkit.reader import parse
from chartkit.summary import summarise

CHART = """\
Title: Bench
Key: F major
Tempo: 140

[A]
| Gm7 | C7 | F6 | Dm7 | Gm7b5 | C7b9 | Fm6 | D7alt |
"""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "bench.chart").write_text(CHART, encoding="utf-8")
    return tmp_path


def shell(*words):
    subprocess.run([sys.executable, "-m", "chartkit.cli", *words], check=True, capture_output=True)


def test_python_alone_from_the_shell(benchmark):
    benchmark.pedantic(subprocess.run, ([sys.executable, "-c", "pass"],), rounds=7)


def test_help_from_the_shell(benchmark):
    benchmark.pedantic(shell, ("--help",), rounds=7)


@pytest.mark.usefixtures("folder")
def test_a_loop_of_eight_bars_cold_from_the_shell(benchmark):
    benchmark.pedantic(shell, ("loop", "bench.chart", "A"), rounds=5)


@pytest.mark.usefixtures("folder")
def test_a_loop_of_eight_bars_as_midi_cold_from_the_shell(benchmark):
    benchmark.pedantic(shell, ("loop", "bench.chart", "A", "-o", "a.mid", "--force"), rounds=5)


@pytest.mark.usefixtures("folder", "capfd")
def test_five_choruses_as_midi(benchmark):
    words = ["playalong", "tram-change", "--choruses", "5", "-o", "a.mid", "--force"]
    assert benchmark.pedantic(run, (words,), rounds=5) == 0


def test_a_thousand_charts(benchmark):
    demos = [
        c.read_text("utf-8") for c in files("chartkit.charts").iterdir() if c.suffix == ".chart"
    ]
    texts = [demos[i % len(demos)].replace("Title:", f"Title: {i}", 1) for i in range(1000)]

    def check():
        return [summarise(parse(text, "bench").chart).bars for text in texts]

    assert len(benchmark.pedantic(check, rounds=3)) == 1000
