"""`chartkit phrase check`: what each phrase holds, or what is wrong with it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import click

from chartkit.cli.phrase_loading import text_of
from chartkit.errors import ChartkitError, Fault
from chartkit.phrase.phrase import Phrase


@dataclass(frozen=True, slots=True)
class _Report:
    """One file's result: a phrase, unless `faults` or `trouble` (it cannot be read) forbid it."""

    name: str
    phrase: Phrase | None = None
    faults: tuple[Fault, ...] = ()
    trouble: str = ""


@click.command("check", epilog="Example: chartkit phrase check my-phrase.phrase another.phrase")
@click.argument("names", nargs=-1, required=True, metavar="FILE...")
@click.option("--json", "as_json", is_flag=True, help="Print a list with one object for each file.")
def command(names: tuple[str, ...], *, as_json: bool) -> int:
    """Tell what each phrase holds, or every fault in it."""
    reports = [_report(name) for name in names]
    if as_json:
        click.echo(json.dumps([_as_object(report) for report in reports], indent=2))
    else:
        for report in reports:
            _tell(report)
    return int(any(report.phrase is None for report in reports))


def _report(name: str) -> _Report:
    from chartkit.phrase.reader import parse

    try:
        reading = parse(*text_of(name))
    except ChartkitError as error:
        return _Report(name, trouble=str(error))
    return _Report(name, reading.phrase, reading.faults)


def _tell(report: _Report) -> None:
    for fault in report.faults:
        click.echo(str(fault), err=True)
    if report.trouble:
        click.echo(f"chartkit: {report.trouble}", err=True)
    if report.phrase:
        click.echo(_as_text(report.phrase))


def _as_text(phrase: Phrase) -> str:
    from chartkit.phrase.chart import key_of

    guessed = "" if phrase.key else " (estimated from the chords)"
    rows = (
        ("Source", phrase.source),
        ("Key", f"{key_of(phrase)}{guessed}" if phrase.key or phrase.chords else ""),
        ("Meter", f"{phrase.meter}, {phrase.feel}"),
        ("Chords", _chords(phrase)),
        ("Length", _length(phrase)),
    )
    told = (f"  {word:<10}{value}" for word, value in rows if value)
    return "\n".join((phrase.title or "Untitled", *told))


def _chords(phrase: Phrase) -> str:
    from chartkit.phrase.chart import chords_in
    from chartkit.theory.symbol import write_symbol

    bars = (chords_in(phrase, number) for number in range(phrase.bars))
    words = (
        " ".join(write_symbol(one.chord) if one.chord else "N.C." for one in bar) for bar in bars
    )
    return " | ".join(words) if phrase.chords else ""


def _length(phrase: Phrase) -> str:
    from chartkit.phrase.shape import pitches_of, range_of

    count = len(pitches_of(phrase))
    compass = range_of(phrase)
    bars = f"{phrase.bars} bar{'' if phrase.bars == 1 else 's'}"
    lead = f" and a pick-up of {_quarters(phrase.pickup)}" if phrase.pickup else ""
    notes = f"{count} note{'' if count == 1 else 's'}"
    return f"{bars}{lead}; {notes}" + (f", {compass[0]} to {compass[1]}" if compass else "")


def _quarters(length: Fraction) -> str:
    whole, rest = divmod(length, 1)
    number = " ".join(str(part) for part in (int(whole), rest) if part)
    return f"{number} quarter{'s' if length > 1 else ''}"


def _as_object(report: _Report) -> dict[str, Any]:
    from chartkit.phrase.chart import key_of
    from chartkit.phrase.shape import pitches_of, range_of

    phrase = report.phrase
    faults = [_fault(fault) for fault in report.faults]
    if report.trouble:
        faults.append({"severity": "error", "message": report.trouble})
    found: dict[str, Any] = {"file": report.name}
    if phrase:
        compass = range_of(phrase)
        found |= {
            "title": phrase.title,
            "source": phrase.source,
            "key": str(key_of(phrase)) if phrase.key or phrase.chords else None,
            "meter": str(phrase.meter),
            "feel": phrase.feel,
            "tempo": float(phrase.tempo.quarters) if phrase.tempo else None,
            "chords": _chords(phrase),
            "bars": phrase.bars,
            "pickup": float(phrase.pickup),
            "notes": len(pitches_of(phrase)),
            "range": [str(pitch) for pitch in compass or ()],
        }
    return {**found, "faults": faults}


def _fault(fault: Fault) -> dict[str, Any]:
    return {
        "line": fault.place.line,
        "column": fault.place.column,
        "severity": fault.severity,
        "message": fault.found,
        "expected": list(fault.expected),
    }
