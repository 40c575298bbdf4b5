"""The phrases that a player keeps: files in a folder of the player's home.

Conventions: one phrase a file, in the one tidy spelling; the file's name without its ending is the
phrase's id. What cannot be read is passed over, and `torn` names it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from chartkit.errors import ChartkitError
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.reader import parse
from chartkit.source import load

FOLDER: Final = "phrases"
ENDING: Final = ".phrase"


@dataclass(frozen=True, slots=True)
class KeptPhrase:
    """A phrase and its id."""

    id: str
    phrase: Phrase


def folder_of(home: Path) -> Path:
    """Return the folder of the phrases kept; it need not exist yet."""
    return home / FOLDER


def path_of(home: Path, name: str) -> Path:
    """Return where a phrase of an id is kept."""
    return folder_of(home) / f"{name}{ENDING}"


def kept_phrases(home: Path) -> Iterator[KeptPhrase]:
    """Yield the phrases of a player's home, in order of their ids."""
    for path in sorted(folder_of(home).glob(f"*{ENDING}")):
        phrase = read_kept(path)
        if phrase:
            yield KeptPhrase(path.stem, phrase)


def torn(home: Path) -> Iterator[Path]:
    """Yield the files of phrases that cannot be read, in order of their names."""
    for path in sorted(folder_of(home).glob(f"*{ENDING}")):
        if read_kept(path) is None:
            yield path


def read_kept(path: Path) -> Phrase | None:
    """Return the phrase of a file; None where there is none that can be read."""
    try:
        return parse(load(str(path)), str(path)).phrase
    except ChartkitError:
        return None
