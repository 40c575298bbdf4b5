"""Files that are slow to make, kept by a digest of what they were made from.

Conventions: the folder is chartkit's own and may be emptied at any time. A file appears in it whole
or not at all, so that two runs may share it and an interrupted one loses only what it was making.
The ones used longest ago go when there are too many bytes.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from chartkit.output.files import cannot_write

LIMIT: Final = 500_000_000
"""Bytes: some five days of ten minutes."""

SCRATCH: Final = ".making-"
"""Begins the names of folders in which something is being made."""

ABANDONED: Final = 3600
"""Seconds after which such a folder is nobody's any more: its run was killed."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A folder of kept files; may be used in several threads and by several processes.

    Parameters
    ----------
    folder : Path
        Made when the first file is kept.
    limit : int
        Bytes.
    """

    folder: Path
    limit: int = LIMIT

    def made(self, digest: str, ending: str, make: Callable[[Path], None]) -> Path:
        """Return the file of a digest, made now if it is not there.

        Parameters
        ----------
        digest : str
        ending : str
            Of the file, with its dot.
        make : callable
            Writes the file at the path that it is given.

        Raises
        ------
        OutputError
            It cannot be written.
        """
        path = self.folder / f"{digest}{ending}"
        try:
            os.utime(path)
        except OSError:
            self._make(path, make)
        return path

    def prune(self) -> None:
        """Delete what was used longest ago, as far as there are too many bytes."""
        clear_abandoned(self.folder, SCRATCH)
        used = sorted(self._files(), key=lambda one: one[0], reverse=True)
        total = 0
        for _, size, path in used:
            total += size
            if total > self.limit:
                path.unlink(missing_ok=True)

    def _files(self) -> list[tuple[float, int, Path]]:
        found = []
        for path in self.folder.glob("[!.]*"):
            with contextlib.suppress(OSError):  # another run may have deleted it
                state = path.stat()
                found.append((state.st_mtime, state.st_size, path))
        return found

    def _make(self, path: Path, make: Callable[[Path], None]) -> None:
        scratch: str | None = None
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            scratch = tempfile.mkdtemp(prefix=SCRATCH, dir=self.folder)
            made = Path(scratch) / path.name
            make(made)
            made.replace(path)
        except OSError as error:
            raise cannot_write(path, error) from error
        finally:
            if scratch:
                shutil.rmtree(scratch, ignore_errors=True)


def clear_abandoned(folder: Path, prefix: str) -> None:
    """Delete the folders whose names begin so and that no run is working in any more."""
    for path in folder.glob(f"{prefix}*"):
        with contextlib.suppress(OSError):
            if path.is_dir() and time.time() - path.stat().st_mtime > ABANDONED:
                shutil.rmtree(path, ignore_errors=True)


def digest_of(*values: object) -> str:
    """Return 32 hexadecimal digits that differ for values that differ in their text."""
    return hashlib.sha256(repr(values).encode()).hexdigest()[:32]
