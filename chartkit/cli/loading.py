"""Getting at the chart that the player names: a file, a demo tune, or standard input."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Final

import click

from chartkit.chart import Chart
from chartkit.errors import ChartFaults, OutputError

STDIN: Final = "-"


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
    from chartkit.source import load as load_text

    path = name if name == STDIN or is_there(Path(name)) else str(_demo(name) or name)
    if path != STDIN and not is_there(Path(path)) and not _looks_like_a_path(name):
        raise OutputError(
            f"there is no chart file and no demo tune `{name}`; the demo tunes are "
            + ", ".join(demos())
        )
    return load_text(path), path


def is_there(path: Path) -> bool:
    """Tell whether there is something at a path; a name too long for any file is not there."""
    try:
        return path.exists()
    except OSError:
        return False


def demos() -> tuple[str, ...]:
    """Return the names of the demo tunes."""
    charts = files("chartkit.charts").iterdir()
    return tuple(sorted(c.name.removesuffix(".chart") for c in charts if c.name.endswith(".chart")))


def _demo(name: str) -> Path | None:
    chosen = files("chartkit.charts") / f"{name}.chart"
    return (
        Path(str(chosen)) if not _looks_like_a_path(name) and is_there(Path(str(chosen))) else None
    )


def _looks_like_a_path(name: str) -> bool:
    return "/" in name or "\\" in name or Path(name).suffix != ""
