"""Where a result goes, and what it is called if the player does not say."""

from __future__ import annotations

import re
from pathlib import Path

from chartkit.errors import RequestError
from chartkit.output.files import cannot_write
from chartkit.take import Take


def destination(named: Path | None, default: str, *, force: bool) -> Path:
    """Return the file to write.

    A name that the player gave is never written over without `force`; the default name, next to
    where the player stands, is.

    Raises
    ------
    RequestError
        The named file exists.
    """
    if named is None:
        return Path(default)
    if named.exists() and not force:
        raise RequestError(f"{named} exists already; --force replaces it")
    return named


def place(named: Path | None, default: str, endings: tuple[str, ...]) -> Path:
    """Return the file to write where a folder may be named too, which is made for the default name.

    `endings` are those of files.

    Raises
    ------
    OutputError
        The folder cannot be made.
    """
    if named is None:
        return Path(default)
    return named if named.suffix.lower() in endings else destination_folder(named) / default


def destination_folder(named: Path) -> Path:
    """Return the folder to write into, made if it is not there.

    Raises
    ------
    OutputError
        It cannot be made.
    """
    try:
        named.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise cannot_write(named, error) from error
    return named


def take_name(stem: str, take: Take, *words: str) -> str:
    """Return a file name without ending that tells what part of the tune it holds.

    `stem` is the chart's; `words` say what was made of it.
    """
    part = [f"bars {take.bars[0]}-{take.bars[1]}"] if take.bars else list(take.sections)
    name = "-".join(re.sub(r"[^\w#]+", "-", word) for word in (stem, *part, *words))
    return named_in_key(name, take)


def named_in_key(name: str, take: Take) -> str:
    """Return a name that tells the key which a take is put into, if it is."""
    if take.key is None:
        return name
    return f"{name}-in-{take.key.tonic}{'m' if take.key.mode == 'minor' else ''}"
