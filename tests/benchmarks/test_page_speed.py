"""How long a printed page takes: cold from the shell, and within a running program.

The yardstick within one run is the bare engraver: the same music read by it, laid out and drawn,
without our pages, fonts and PDF.
"""

import subprocess
import sys
from dataclasses import replace
from fractions import Fraction
from io import BytesIO
from pathlib import Path

import pdfplumber
import pytest
import verovio

from chartkit.chart import Tempo
from chartkit.exercise.connected import connected
from chartkit.form import chorus
from chartkit.guitar.fingering import finger
from chartkit.guitar.fretboard import STANDARD, compass
from chartkit.harmony import spans
from chartkit.notate import notate_chart, notate_line
from chartkit.output import engrave, musicxml
from chartkit.output.booklet import Booklet
from chartkit.reader import parse

ROW = "| Dm7 | G7 | Cmaj7 | Am7 D7 |\n"


def chart(rows):
    sections = "".join(f"[{label}]\n{ROW * 2}" for label in "ABCD"[: rows // 2])
    return parse(f"Title: A Page\nKey: C\nTempo: 132\n{sections}", "page.chart").chart


def exercise(rows):
    low, high = compass(STANDARD, 5)
    line = connected(spans(chorus(chart(rows)), loop=True), low, high)
    return notate_line(line, finger(line), title="A Page", tempo=Tempo(Fraction(132)))


SHEETS = {
    "a chart of 32 bars": lambda: notate_chart(chart(8)),
    "an exercise of 16 bars": lambda: exercise(4),
    "an exercise of 32 bars": lambda: exercise(8),
}


@pytest.mark.parametrize("name", SHEETS)
def test_a_page_as_pdf(benchmark, name):
    sheet = SHEETS[name]()
    assert benchmark(engrave.pdf, sheet).startswith(b"%PDF")


def test_a_booklet_of_twenty_pages(benchmark):
    sheet = exercise(4)
    booklet = Booklet("A Page", tuple(replace(sheet, subtitle=f"No. {n}") for n in range(1, 21)))
    data = benchmark.pedantic(engrave.pdf, args=(booklet,), rounds=3, warmup_rounds=1)
    with pdfplumber.open(BytesIO(data)) as pdf:
        assert len(pdf.pages) == 20


@pytest.mark.parametrize("name", SHEETS)
def test_the_bare_engraver_on_the_same_music(benchmark, name):
    music = musicxml.encode(SHEETS[name]()).decode()

    def drawn():
        toolkit = verovio.toolkit()
        toolkit.setOptions({"breaks": "line"})
        toolkit.loadData(music)
        return [toolkit.renderToSVG(n + 1) for n in range(toolkit.getPageCount())]

    assert benchmark(drawn)


def test_musicxml(benchmark):
    assert benchmark(musicxml.encode, exercise(8))


COMMANDS = {
    "the chart": ("sheet", "page.chart"),
    "an exercise": ("exercise", "page.chart", "A", "B"),
}


@pytest.mark.parametrize("name", COMMANDS)
def test_a_page_cold_from_the_shell(benchmark, name, tmp_path):
    text = f"Title: A Page\nKey: C\n[A]\n{ROW * 2}[B]\n{ROW * 2}"
    (tmp_path / "page.chart").write_text(text, encoding="utf-8")
    program = Path(sys.executable).with_name("chartkit")
    command = [program, *COMMANDS[name], "-o", "page.pdf", "--force"]

    def run():
        subprocess.run(command, cwd=tmp_path, check=True, capture_output=True)

    benchmark.pedantic(run, rounds=5, warmup_rounds=1)
    assert (tmp_path / "page.pdf").read_bytes().startswith(b"%PDF")


def test_python_alone(benchmark):
    benchmark.pedantic(
        subprocess.run, args=([sys.executable, "-c", "pass"],), kwargs={"check": True}, rounds=5
    )
