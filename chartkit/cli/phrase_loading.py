"""Getting at the phrase that is named: a file, one that is kept, a demo, or standard input."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

import click

from chartkit.cli.named import STDIN, Demos, text_named
from chartkit.errors import ChartFaults
from chartkit.phrase.phrase import Phrase

ENDING: Final = ".phrase"

_DEMOS: Final = Demos("chartkit.phrases", ENDING)

PHRASE: Final = click.argument("file", metavar="FILE")


@dataclass(frozen=True, slots=True)
class LoadedPhrase:
    """A phrase that reads without error, and the stem of the names of files made from it."""

    phrase: Phrase
    stem: str


def load(name: str) -> LoadedPhrase:
    """Read a phrase; print its warnings to standard error.

    Raises
    ------
    ChartFaults
        With every fault of the text.
    OutputError
        There is no such file or demo phrase.
    """
    from chartkit.phrase.reader import parse

    text, source = text_of(name)
    reading = parse(text, source)
    if reading.phrase is None:
        raise ChartFaults(reading.faults)
    for fault in reading.faults:
        click.echo(str(fault), err=True)
    return LoadedPhrase(reading.phrase, "phrase" if name == STDIN else Path(source).stem)


def text_of(name: str) -> tuple[str, str]:
    """Return a phrase's text and the name to report it under."""
    return text_named(name, (_kept, _DEMOS.path_of), "phrase", _missing)


def demos() -> tuple[str, ...]:
    """Return the names of the demo phrases."""
    return _DEMOS.names


def _kept(name: str) -> Path:
    from chartkit.home import home
    from chartkit.phrase.kept import path_of

    return path_of(home(), name)


def _missing(name: str) -> str:
    found = f"there is no phrase file, kept phrase or demo phrase `{name}`; the demo phrases are "
    return found + ", ".join(demos())
