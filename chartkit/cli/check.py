"""`chartkit check`: what each chart holds, or what is wrong with it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import click

from chartkit.cli.loading import text_of
from chartkit.errors import ChartkitError, Fault
from chartkit.summary import Summary, summarise


@dataclass(frozen=True, slots=True)
class _Report:
    """One file's result: a summary, unless `faults` or `trouble` (it cannot be read) forbid it."""

    name: str
    summary: Summary | None = None
    faults: tuple[Fault, ...] = ()
    trouble: str = ""


@click.command("check", epilog="Example: chartkit check my-tune.chart another.chart")
@click.argument("names", nargs=-1, required=True, metavar="FILE...")
@click.option("--json", "as_json", is_flag=True, help="Print a list with one object for each file.")
def command(names: tuple[str, ...], *, as_json: bool) -> int:
    """Tell what each chart holds, or every fault in it."""
    reports = [_report(name) for name in names]
    if as_json:
        click.echo(json.dumps([_as_object(report) for report in reports], indent=2))
    else:
        for report in reports:
            _tell(report)
    return int(any(report.summary is None for report in reports))


def _report(name: str) -> _Report:
    from chartkit.reader import parse

    try:
        reading = parse(*text_of(name))
        summary = summarise(reading.chart) if reading.chart else None
    except ChartkitError as error:
        return _Report(name, trouble=str(error))
    return _Report(name, summary, reading.faults)


def _tell(report: _Report) -> None:
    for fault in report.faults:
        click.echo(str(fault), err=True)
    if report.trouble:
        click.echo(f"chartkit: {report.trouble}", err=True)
    if report.summary:
        click.echo(_as_text(report.summary))


def _as_text(summary: Summary) -> str:
    sections = ", ".join(f"{label} {_bars(bars)}" for label, bars in summary.sections)
    guessed = "" if summary.key_written else " (estimated from the changes)"
    minutes, seconds = divmod(round(summary.seconds), 60)
    length = f"{_bars(summary.bars)}, {minutes}:{seconds:02} a chorus"
    return "\n".join(
        (
            summary.title or "Untitled",
            f"  Key       {summary.key}{guessed}",
            f"  Meter     {summary.meter}, {summary.feel}, quarter = {float(summary.tempo):g}",
            f"  Sections  {sections}",
            f"  Form      {' '.join(summary.form)}: {length}",
        )
    )


def _bars(count: int) -> str:
    return f"{count} bar{'' if count == 1 else 's'}"


def _as_object(report: _Report) -> dict[str, Any]:
    summary = report.summary
    faults = [_fault(fault) for fault in report.faults]
    if report.trouble:
        faults.append({"severity": "error", "message": report.trouble})
    found: dict[str, Any] = {"file": report.name}
    if summary:
        found |= {
            "title": summary.title,
            "key": str(summary.key),
            "meter": str(summary.meter),
            "feel": summary.feel,
            "tempo": float(summary.tempo),
            "sections": [{"label": label, "bars": bars} for label, bars in summary.sections],
            "form": list(summary.form),
            "bars": summary.bars,
            "seconds": round(float(summary.seconds), 3),
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
