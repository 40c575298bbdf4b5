"""What files hold, or what is wrong with them: the one way of the commands that check."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeAlias, TypeVar

import click

from chartkit.errors import ChartkitError, Fault

Held = TypeVar("Held")

Read: TypeAlias = Callable[[str], tuple[Held | None, tuple[Fault, ...]]]
"""From a file's name to what it holds, None where there are errors, and to its faults."""


@dataclass(frozen=True, slots=True)
class _Report(Generic[Held]):
    """One file's result: what it holds, unless `faults` or `trouble` (no reading it) forbid it."""

    name: str
    held: Held | None = None
    faults: tuple[Fault, ...] = ()
    trouble: str = ""


def check(
    names: Sequence[str],
    read: Read[Held],
    as_text: Callable[[Held], str],
    as_object: Callable[[Held], dict[str, Any]],
    *,
    as_json: bool,
) -> int:
    """Tell what each file holds, or every fault in it, and return the exit code.

    Parameters
    ----------
    names : sequence of str
    read : callable
    as_text, as_object : callable
        What is told of what a file holds: lines of text, or an object's fields.
    as_json : bool
        Print a list with one object for each file, not text.
    """
    reports = [_report(name, read) for name in names]
    if as_json:
        click.echo(json.dumps([_as_object(report, as_object) for report in reports], indent=2))
    else:
        for report in reports:
            _tell(report, as_text)
    return int(any(report.held is None for report in reports))


def _report(name: str, read: Read[Held]) -> _Report[Held]:
    try:
        return _Report(name, *read(name))
    except ChartkitError as error:
        return _Report(name, trouble=str(error))


def _tell(report: _Report[Held], as_text: Callable[[Held], str]) -> None:
    for fault in report.faults:
        click.echo(str(fault), err=True)
    if report.trouble:
        click.echo(f"chartkit: {report.trouble}", err=True)
    if report.held is not None:
        click.echo(as_text(report.held))


def _as_object(
    report: _Report[Held], as_object: Callable[[Held], dict[str, Any]]
) -> dict[str, Any]:
    faults = [_fault(fault) for fault in report.faults]
    if report.trouble:
        faults.append({"severity": "error", "message": report.trouble})
    found = {} if report.held is None else as_object(report.held)
    return {"file": report.name, **found, "faults": faults}


def _fault(fault: Fault) -> dict[str, Any]:
    return {
        "line": fault.place.line,
        "column": fault.place.column,
        "severity": fault.severity,
        "message": fault.found,
        "expected": list(fault.expected),
    }
