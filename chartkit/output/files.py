"""Files appear whole or not at all.

A file is written beside its final place under a temporary name and renamed over it once it is
complete and on the disk; an interrupted or failed write leaves what was there before.
"""

from __future__ import annotations

import errno
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from chartkit.errors import OutputError

_ADVICE: Final = {
    errno.ENOSPC: "the disk is full: free some space and run it again",
    errno.EDQUOT: "your disk quota is used up: free some space and run it again",
    errno.EFBIG: "the file would be larger than allowed here",
    errno.EACCES: "permission denied: choose another place with -o",
    errno.EPERM: "permission denied: choose another place with -o",
    errno.EROFS: "the disk is read-only: choose another place with -o",
    errno.ENOENT: "there is no such folder: make it first",
    errno.ENOTDIR: "a part of its path is a file, not a folder",
    errno.EISDIR: "that is a folder",
}


@contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """Give a temporary path to write; rename it over `path` if the block succeeds.

    Parameters
    ----------
    path : Path
        The file to make or to replace. The temporary file lies in the same folder and has the
        same ending, for writers that go by it.

    Raises
    ------
    OutputError
        The file cannot be written; `path` is as it was and nothing else is left behind.
    """
    try:
        handle, name = tempfile.mkstemp(prefix=".", suffix=path.suffix, dir=path.parent)
    except OSError as error:
        raise cannot_write(path, error) from error
    temporary = Path(name)
    try:
        os.close(handle)
        yield temporary
        _settle(temporary, path)
    except OSError as error:
        raise cannot_write(path, error) from error
    finally:
        temporary.unlink(missing_ok=True)


def write_bytes(path: Path, data: bytes) -> None:
    """Write a whole file; see `replacing`."""
    with replacing(path) as temporary:
        temporary.write_bytes(data)


def cannot_write(path: Path, error: OSError) -> OutputError:
    """Return the one sentence that tells why a file cannot be written and what to do."""
    advice = _ADVICE.get(error.errno or 0, (error.strerror or str(error)).lower())
    return OutputError(f"cannot write {path}: {advice}")


def _settle(temporary: Path, path: Path) -> None:
    """Bring the finished file to the disk, with the rights of an ordinary new file, and rename."""
    with temporary.open("rb+") as file:
        os.fsync(file.fileno())
    mode = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask()
    temporary.chmod(mode)
    temporary.replace(path)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
