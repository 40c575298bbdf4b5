"""The page that teaches the language says nothing that is not so, and names all there is."""

import re
from pathlib import Path

import pytest

from chartkit.feel import FEELS
from chartkit.header import HEADER
from chartkit.phrase.header import HEADER as PHRASE_HEADER
from chartkit.phrase.reader import parse as parse_phrase
from chartkit.phrase.values import LETTERS, read_value
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
    assert kind in ("chart", "phrase")
    if kind == "chart":
        reading = parse(as_chart(block), "tune.chart")
    else:
        reading = parse_phrase(block, "my.phrase")
    told = [f for f in reading.faults if not f.found.startswith("there is no `Key:`")]
    assert "".join(f"{one}\n" for one in told) == fault


@pytest.mark.parametrize("symbols", SYMBOLS, ids=" ".join)
def test_symbols_of_a_row_mean_the_same(symbols):
    readings = [read_symbol(symbol) for symbol in symbols]
    assert len({reading.chord for reading in readings}) == 1
    assert not any(reading.warnings for reading in readings)


def test_every_header_word_is_taught():
    assert set(re.findall(r"`(\w+):`", TEXT)) >= set(HEADER) | set(PHRASE_HEADER)


def test_every_note_value_is_taught():
    rows = TEXT.partition("| value | letters | words |")[2].partition("\n\n")[0]
    told = [cell for row in rows.splitlines() for cell in row.split("|")[2:3]]
    letters = {word for cell in told for word in re.findall(r"`([^`]+)`", cell)}
    assert letters == set(LETTERS.values())
    words = [word for row in rows.splitlines()[2:] for word in re.findall(r"`(\w[\w ]+)`", row)]
    assert all(read_value(word) for word in words)


def test_the_feels_named_are_there():
    row = next(line for line in TEXT.splitlines() if line.startswith("| `Feel:`"))
    assert set(re.findall(r"`([a-z ]+)`", row)) <= set(FEELS)
