"""Sounds that have been made, kept so that none is made twice.

A sound is a folder named by its id, with a file a part and a small one about all of them. It
appears whole or not at all, so that two stands may keep their sounds in one place; the ones not
heard for longest go when there are too many. What cannot be written is kept in memory alone.
"""

from __future__ import annotations

import contextlib
import json
import re
import shutil
import tempfile
import time
from collections import OrderedDict
from pathlib import Path
from threading import Lock
from typing import Final

from chartkit.stand.sound import Stems

LIMIT: Final = 600_000_000
"""Bytes on the disk."""

IN_MEMORY: Final = 200_000_000
"""Bytes of the sounds used last."""

ABOUT: Final = "about.json"

_ID: Final = re.compile(r"[0-9a-f]{32}")
_SCRATCH: Final = ".new-"
_ABANDONED: Final = 3600
"""Seconds after which a half-made folder is nobody's any more."""


class Store:
    """Sounds by their ids; may be used in several threads.

    Parameters
    ----------
    folder : Path or None
        Made when the first sound is kept; None keeps all in memory.
    limit : int
        Bytes on the disk.
    """

    def __init__(self, folder: Path | None, limit: int = LIMIT) -> None:
        self._folder = folder
        self._limit = limit
        self._recent: OrderedDict[str, Stems] = OrderedDict()
        self._lock = Lock()

    def get(self, name: str) -> Stems | None:
        """Return a sound if it is there, whole."""
        with self._lock:
            if name in self._recent:
                self._recent.move_to_end(name)
                return self._recent[name]
        found = self._from_disk(name) if _ID.fullmatch(name) else None
        if found:
            self._remember(found)
        return found

    def put(self, stems: Stems) -> None:
        """Keep a sound."""
        self._remember(stems)
        if self._folder is None:
            return
        with contextlib.suppress(OSError):  # a full disk is no reason not to play
            self._folder.mkdir(parents=True, exist_ok=True)
            self._tidy(sum(len(data) for _, data in stems.parts))
            self._to_disk(stems, self._folder)

    def part(self, name: str, part: str) -> bytes | None:
        """Return one stem's file."""
        found = self.get(name)
        return dict(found.parts).get(part) if found else None

    def _remember(self, stems: Stems) -> None:
        with self._lock:
            self._recent[stems.id] = stems
            self._recent.move_to_end(stems.id)
            total = sum(_size(one) for one in self._recent.values())
            while total > IN_MEMORY and len(self._recent) > 1:
                _, gone = self._recent.popitem(last=False)
                total -= _size(gone)

    def _from_disk(self, name: str) -> Stems | None:
        """Return a sound from the disk; None where anything of it is missing or damaged."""
        if self._folder is None:
            return None
        home = self._folder / name
        try:
            about = json.loads((home / ABOUT).read_text(encoding="utf-8"))
            parts = tuple(
                (str(part), _whole(home / f"{part}.wav", int(size)))
                for part, size in about["parts"]
                if re.fullmatch(r"[a-z]+", part)
            )
            home.touch()
            return Stems(name, int(about["frames"]), float(about["peak"]), parts)
        except (OSError, ValueError, TypeError, KeyError):
            return None

    def _to_disk(self, stems: Stems, folder: Path) -> None:
        """Write a sound beside its place and move it there, unless another stand was quicker."""
        scratch = Path(tempfile.mkdtemp(prefix=_SCRATCH, dir=folder))
        try:
            sizes = [(part, len(data)) for part, data in stems.parts]
            for part, data in stems.parts:
                (scratch / f"{part}.wav").write_bytes(data)
            about = {"frames": stems.frames, "peak": stems.peak, "parts": sizes}
            (scratch / ABOUT).write_text(json.dumps(about), encoding="utf-8")
            self._settle(scratch, folder / stems.id)
        finally:
            shutil.rmtree(scratch, ignore_errors=True)

    def _settle(self, scratch: Path, home: Path) -> None:
        """Move a sound to its place, where only a damaged one gives way."""
        try:
            scratch.rename(home)
        except OSError:
            if self._from_disk(home.name) is None:
                shutil.rmtree(home, ignore_errors=True)
                scratch.rename(home)

    def _tidy(self, coming: int) -> None:
        """Make room for what is coming: what is half-made, then what is not heard for longest."""
        assert self._folder is not None  # `put` has looked
        kept: list[tuple[float, int, Path]] = []
        for home in self._folder.iterdir():
            with contextlib.suppress(OSError):
                used = home.stat().st_mtime
                if _ID.fullmatch(home.name):
                    kept.append((used, sum(f.stat().st_size for f in home.iterdir()), home))
                elif home.name.startswith(_SCRATCH) and time.time() - used > _ABANDONED:
                    shutil.rmtree(home, ignore_errors=True)
        room = self._limit - coming - sum(size for _, size, _ in kept)
        for _, size, home in sorted(kept):
            if room >= 0:
                break
            shutil.rmtree(home, ignore_errors=True)
            room += size


def _size(stems: Stems) -> int:
    return sum(len(data) for _, data in stems.parts)


def _whole(path: Path, size: int) -> bytes:
    """Return a file's bytes.

    Raises
    ------
    ValueError
        They are not as many as they were.
    """
    data = path.read_bytes()
    if len(data) != size:
        raise ValueError(f"{path} is not whole")
    return data
