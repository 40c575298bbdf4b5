"""Getting at the chart that the player names: a file, a demo tune, or standard input."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

import click

from chartkit.chart import Chart
from chartkit.cli.named import STDIN, Demos, text_named
from chartkit.errors import ChartFaults

_DEMOS: Final = Demos("chartkit.charts", ".chart")


@dataclass(frozen=True, slots=True)
class Loaded:
    """A chart that reads without error, and the stem of the names of files made from it."""

    chart: Chart
    stem: str


def load(name: str) -> Loaded:
    """Read a chart; print its warnings to standard error.

    Raises
    ------
    ChartFaults
        With every fault of the text.
    OutputError
        There is no such file or demo tune.
    """
    from chartkit.reader import parse

    text, source = text_of(name)
    reading = parse(text, source)
    if reading.chart is None:
        raise ChartFaults(reading.faults)
    for fault in reading.faults:
        click.echo(str(fault), err=True)
    return Loaded(reading.chart, "chart" if name == STDIN else Path(source).stem)


def text_of(name: str) -> tuple[str, str]:
    """Return a chart's text and the name to report it under."""
    return text_named(name, (_DEMOS.path_of,), "chart", _missing)


def demos() -> tuple[str, ...]:
    """Return the names of the demo tunes."""
    return _DEMOS.names


def _missing(name: str) -> str:
    found = f"there is no chart file and no demo tune `{name}`; the demo tunes are "
    return found + ", ".join(demos())
