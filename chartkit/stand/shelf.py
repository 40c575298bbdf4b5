"""The tunes within the player's reach: those the stand was started with, and the demo tunes.

A tune is asked for by its id on the shelf, never by a path. A file is read again when it has
changed, so that a chart can be mended while it stands on the stand.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from chartkit.chart import Chart
from chartkit.errors import ChartFaults, ChartkitError, OutputError, RequestError
from chartkit.feel import FEELS
from chartkit.form import chorus, key_of

DEMO: Final = "demo"
YOURS: Final = "yours"


@dataclass(frozen=True, slots=True)
class Place:
    """Where a tune stands.

    Parameters
    ----------
    id : str
        Letters, digits and hyphens.
    path : Path
    owner : {"yours", "demo"}
    """

    id: str
    path: Path
    owner: str


class Shelf:
    """Tunes by their ids.

    Parameters
    ----------
    paths : sequence of Path
        The player's own charts, in the order to show them.
    """

    def __init__(self, paths: Sequence[Path] = ()) -> None:
        own = _own(paths)
        demos = (Place(path.stem, path, DEMO) for path in _demos())
        self._places = {place.id: place for place in (*own, *demos)}
        self._read: dict[Path, tuple[int, Chart]] = {}

    @property
    def places(self) -> tuple[Place, ...]:
        """Every tune's place, the player's own first."""
        return tuple(self._places.values())

    def place(self, name: str) -> Place:
        """Return where a tune stands.

        Raises
        ------
        RequestError
            There is no such tune.
        """
        if name not in self._places:
            raise RequestError("there is no such tune on the stand")
        return self._places[name]

    def chart(self, name: str) -> Chart:
        """Return the chart of an id.

        Raises
        ------
        RequestError
            There is no such tune.
        ChartFaults
            The file holds faults.
        OutputError
            The file is not there any more.
        """
        path = self.place(name).path
        try:
            changed = path.stat().st_mtime_ns
        except OSError as error:
            raise OutputError(f"{path.name} cannot be read any more") from error
        known = self._read.get(path)
        if known is None or known[0] != changed:
            known = changed, read_chart(str(path))
            self._read[path] = known
        return known[1]

    def told(self) -> list[dict[str, Any]]:
        """Return what the page needs to know of every tune; of one with faults, what is wrong."""
        return [_told(place, self) for place in self.places]


def _own(paths: Sequence[Path]) -> Iterator[Place]:
    """Yield a place for each file, with an id of its own."""
    for number, path in enumerate(dict.fromkeys(path.resolve() for path in paths), 1):
        stem = re.sub(r"[^A-Za-z0-9]+", "-", path.stem).strip("-")[:60]
        yield Place(f"own-{number}-{stem}".rstrip("-").lower(), path, YOURS)


def _demos() -> list[Path]:
    charts = files("chartkit.charts").iterdir()
    return sorted(Path(str(c)) for c in charts if c.name.endswith(".chart"))


def read_chart(path: str) -> Chart:
    """Read the chart of a file.

    Raises
    ------
    ChartFaults
        It holds faults; they name the file without its folder.
    OutputError
        It cannot be read.
    """
    from chartkit.reader import parse
    from chartkit.source import load

    reading = parse(load(path), Path(path).name)
    if reading.chart is None:
        raise ChartFaults(reading.faults)
    return reading.chart


def _told(place: Place, shelf: Shelf) -> dict[str, Any]:
    known = {"request": {"tune": place.id}, "from": place.owner}
    try:
        return {**known, **facts(shelf.chart(place.id))}
    except ChartkitError as error:
        return {**known, "title": place.path.stem, "error": str(error)}


def facts(chart: Chart) -> dict[str, Any]:
    """Return what a page shows of a chart before it is engraved."""
    feel = FEELS.get(chart.feel)
    quarters = chart.tempo.quarters if chart.tempo else feel and feel.tempo
    return {
        "title": chart.title,
        "composer": chart.composer,
        "key": str(key_of(chart)),
        "tempo": float(quarters) if quarters else None,
        "feel": chart.feel,
        "meter": str(chart.meter),
        "sections": [
            {"label": section.label, "bars": sum(1 for bar in section.bars if bar.number)}
            for section in chart.sections
        ],
        "form": list(chorus(chart).labels),
    }
