"""An overview as plain data for other programs: the facts of the text, none left out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from chartkit.difficulty.hardest import HardBar, hardest, loops
from chartkit.difficulty.positions import PositionReport
from chartkit.harmony import Span
from chartkit.overview import Overview, on_the_page
from chartkit.study.changes import Change
from chartkit.study.report import Report
from chartkit.theory.symbol import write_symbol


def as_object(found: Overview, title: str, *, hard: int) -> dict[str, Any]:
    """Return an overview as what JSON can hold.

    Parameters
    ----------
    found : Overview
    title : str
    hard : int
        How many of the hardest bars to name.

    Returns
    -------
    dict
        Of areas, changes and cadences in playing order, each written chord the first time it comes;
        beats are in quarter notes from the bar's first.
    """
    harmony, bars = found.harmony, hardest(found.efforts, hard)
    return {
        "title": title,
        "sections": list(found.labels),
        "bars": found.bars,
        "key": str(found.key),
        "tempo": float(found.tempo),
        "areas": [
            {"key": str(area.key), "bars": _bars(harmony.spans, area.spans)}
            for area in harmony.areas
        ],
        "changes": _changes(harmony),
        "cadences": [
            {
                "name": cadence.name,
                "key": str(cadence.key),
                "bars": _bars(harmony.spans, cadence.spans),
                "chords": [write_symbol(chord) for chord in cadence.chords],
            }
            for cadence in harmony.cadences
        ],
        "positions": [_position(report) for report in found.positions],
        "position": _position(found.position),
        "hardest": [_bar(one) for one in bars],
        "loops": [list(ends) for ends in loops(bars)],
    }


def _bars(spans: Sequence[Span], indexes: Iterable[int]) -> list[int]:
    """Return printed numbers in playing order."""
    return list(dict.fromkeys(spans[index].bar.number for index in indexes))


def _changes(harmony: Report) -> list[dict[str, Any]]:
    moves = {change.span: change for change in harmony.changes}
    return [_chord(harmony, i, moves.get(i)) for i in on_the_page(harmony.spans)]


def _chord(harmony: Report, index: int, move: Change | None) -> dict[str, Any]:
    span, found = harmony.spans[index], harmony.numerals[index]
    return {
        "section": span.bar.section,
        "bar": span.bar.number,
        "beat": float(span.start - span.bar_start),
        "chord": write_symbol(span.chord) if span.chord else "N.C.",
        "key": str(harmony.keys[index]),
        "numeral": str(found) if found else None,
        "role": found.role if found else None,
        "scale": f"{span.scale.root} {span.scale.name}" if span.scale else None,
        "guide tones": [
            {"from": str(way.tone), "to": str(way.to), "semitones": way.semitones}
            for way in (move.guides if move else ())
        ],
        "common tones": [str(tone) for tone in (move.common if move else ())],
    }


def _position(report: PositionReport) -> dict[str, Any]:
    return {
        "position": report.position,
        "points a note": round(float(report.effort), 3),
        "reasons": list(report.reasons),
        "arpeggios": [
            {
                "chord": write_symbol(one.chord),
                "missing": [str(name) for name in one.missing],
                "stretches": [str(pitch) for pitch in one.stretches],
            }
            for one in report.arpeggios
        ],
    }


def _bar(one: HardBar) -> dict[str, Any]:
    return {
        "section": one.bar.section,
        "bar": one.bar.number,
        "points a second": round(float(one.points), 3),
        "difficulties": dict(one.difficulties),
    }
