"""Getting at a text by what the player calls it: a file, a bare name, or standard input."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Final

from chartkit.errors import OutputError

STDIN: Final = "-"


@dataclass(frozen=True, slots=True)
class Demos:
    """The demo files of a package, all of one ending."""

    package: str
    ending: str

    @property
    def names(self) -> tuple[str, ...]:
        """Their names without the ending, sorted."""
        found = (file.name for file in files(self.package).iterdir())
        own = (name for name in found if name.endswith(self.ending))
        return tuple(sorted(name.removesuffix(self.ending) for name in own))

    def path_of(self, name: str) -> Path:
        """Return where a demo of a name would be."""
        return Path(str(files(self.package) / f"{name}{self.ending}"))


def text_named(
    name: str, places: tuple[Callable[[str], Path], ...], noun: str, missing: Callable[[str], str]
) -> tuple[str, str]:
    """Return a text and the name to report it under.

    Parameters
    ----------
    name : str
        ``-``, a path, or a bare name.
    places : tuple of callable
        From a bare name to where it may be, in order.
    noun : str
        What the text should hold, for messages.
    missing : callable
        From a bare name that is nowhere to what is said of it.

    Raises
    ------
    OutputError
        There is nothing of that name, or it cannot be read.
    """
    from chartkit.source import load

    if name == STDIN or is_there(Path(name)) or _looks_like_a_path(name):
        return load(name, noun), name
    path = next((path for place in places if is_there(path := place(name))), None)
    if not path:
        raise OutputError(missing(name))
    return load(str(path), noun), str(path)


def is_there(path: Path) -> bool:
    """Tell whether there is something at a path; a name too long for any file is not there."""
    try:
        return path.exists()
    except OSError:
        return False


def _looks_like_a_path(name: str) -> bool:
    return "/" in name or "\\" in name or Path(name).suffix != ""
