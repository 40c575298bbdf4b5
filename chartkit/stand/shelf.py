"""Tunes and phrases within the player's reach: those the stand was started with, and the demos.

Each is asked for by its id on the shelf, never by a path. A file is read again when it has
changed, so that a chart can be mended while it stands on the stand. A file that ends in ``.phrase``
holds a phrase.
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
from chartkit.phrase.phrase import Phrase
from chartkit.stand.phrases import phrase_facts

PHRASE: Final = ".phrase"

DEMO: Final = "demo"
YOURS: Final = "yours"


@dataclass(frozen=True, slots=True)
class Place:
    """Where a tune or a phrase stands.

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
    """Tunes and phrases by their ids.

    Parameters
    ----------
    paths : sequence of Path
        The player's own files, in the order to show them.
    """

    def __init__(self, paths: Sequence[Path] = ()) -> None:
        own = _own(paths)
        self._places = {place.id: place for place in (*own, *_demos())}
        self._read: dict[Path, tuple[int, Chart | Phrase]] = {}

    @property
    def places(self) -> tuple[Place, ...]:
        """Every place, the player's own first."""
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
        """Return the chart of an id; raises what `content` raises, and where it is a phrase."""
        found = self.content(name)
        if isinstance(found, Phrase):
            raise RequestError("that is a phrase, not a tune")
        return found

    def content(self, name: str) -> Chart | Phrase:
        """Return the chart or the phrase of an id.

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
            known = changed, _read(path)
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


def _demos() -> Iterator[Place]:
    """Yield the demo tunes by their names, then the demo phrases."""
    for package, ending, before in (("charts", ".chart", ""), ("phrases", PHRASE, "phrase-")):
        found = files(f"chartkit.{package}").iterdir()
        for path in sorted(Path(str(one)) for one in found if one.name.endswith(ending)):
            yield Place(before + path.stem, path, DEMO)


def _read(path: Path) -> Chart | Phrase:
    return read_phrase(path) if path.suffix == PHRASE else read_chart(str(path))


def read_phrase(path: Path) -> Phrase:
    """Read the phrase of a file; raises what `read_chart` raises."""
    from chartkit.phrase.reader import parse
    from chartkit.source import load

    reading = parse(load(str(path), "phrase"), path.name)
    if reading.phrase is None:
        raise ChartFaults(reading.faults)
    return reading.phrase


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
        content = shelf.content(place.id)
        told = phrase_facts(content) if isinstance(content, Phrase) else facts(content)
    except ChartkitError as error:
        told = {"title": place.path.stem, "error": str(error)}
    return {**known, **told}


def facts(chart: Chart) -> dict[str, Any]:
    """Return what a page shows of a tune before it is engraved."""
    feel = FEELS.get(chart.feel)
    quarters = chart.tempo.quarters if chart.tempo else feel and feel.tempo
    return {
        "kind": "chart",
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
