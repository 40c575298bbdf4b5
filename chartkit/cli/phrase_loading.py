"""Getting at the phrase that is named: a file, one that is kept, a demo, or standard input."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Final

import click

from chartkit.cli.loading import STDIN, is_there
from chartkit.errors import ChartFaults, OutputError
from chartkit.phrase.phrase import Phrase

ENDING: Final = ".phrase"

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
    from chartkit.source import load as load_text

    there = name == STDIN or is_there(Path(name))
    path = name if there else str(_kept(name) or _demo(name) or name)
    if path != STDIN and not is_there(Path(path)) and not _looks_like_a_path(name):
        raise OutputError(
            f"there is no phrase file, kept phrase or demo phrase `{name}`; the demo phrases are "
            + ", ".join(demos())
        )
    return load_text(path, "phrase"), path


def demos() -> tuple[str, ...]:
    """Return the names of the demo phrases."""
    found = files("chartkit.phrases").iterdir()
    return tuple(sorted(one.name.removesuffix(ENDING) for one in found if _is_phrase(one.name)))


def _is_phrase(name: str) -> bool:
    return name.endswith(ENDING)


def _demo(name: str) -> Path | None:
    chosen = files("chartkit.phrases") / f"{name}{ENDING}"
    return (
        Path(str(chosen)) if not _looks_like_a_path(name) and is_there(Path(str(chosen))) else None
    )


def _kept(name: str) -> Path | None:
    from chartkit.home import home
    from chartkit.phrase.kept import path_of

    chosen = path_of(home(), name)
    return chosen if not _looks_like_a_path(name) and is_there(chosen) else None


def _looks_like_a_path(name: str) -> bool:
    return "/" in name or "\\" in name or Path(name).suffix != ""
