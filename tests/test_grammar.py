"""The page that teaches the language says nothing that is not so, and names all there is."""

import re
from pathlib import Path

import pytest

from chartkit.feel import FEELS
from chartkit.header import HEADER
from chartkit.reader import parse
from chartkit.theory.symbol import read_symbol

TEXT = (Path(__file__).parents[1] / "grammar" / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```(\w+)\n(.*?)```\n(?:```fault\n(.*?)```)?", TEXT, re.DOTALL)
SYMBOLS = [
    re.findall(r"`([^`]+)`", row.split("|")[1])
    for row in TEXT.splitlines()
    if row.startswith("| `C")
]


def as_chart(block):
    return block if re.search(r"^\[", block, re.MULTILINE) else f"[A]\n{block}"


def test_there_are_examples():
    assert len(BLOCKS) > 10
    assert len(SYMBOLS) > 20
    assert any(fault for _, _, fault in BLOCKS)


@pytest.mark.parametrize(("kind", "block", "fault"), BLOCKS)
def test_example(kind, block, fault):
    assert kind == "chart"
    reading = parse(as_chart(block), "tune.chart")
    told = [f for f in reading.faults if not f.found.startswith("there is no `Key:`")]
    assert "".join(f"{one}\n" for one in told) == fault


@pytest.mark.parametrize("symbols", SYMBOLS, ids=" ".join)
def test_symbols_of_a_row_mean_the_same(symbols):
    readings = [read_symbol(symbol) for symbol in symbols]
    assert len({reading.chord for reading in readings}) == 1
    assert not any(reading.warnings for reading in readings)


def test_every_header_word_is_taught():
    assert set(re.findall(r"`(\w+):`", TEXT)) >= set(HEADER)


def test_the_feels_named_are_there():
    row = next(line for line in TEXT.splitlines() if line.startswith("| `Feel:`"))
    assert set(re.findall(r"`([a-z ]+)`", row)) <= set(FEELS)
