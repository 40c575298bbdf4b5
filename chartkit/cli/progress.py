"""A progress bar for work that takes more than a second."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

PATIENCE: Final = 1.0
"""Seconds of silence before the bar appears."""


class _Bar:
    """Shows nothing until the work has lasted `PATIENCE`, then a bar on standard error."""

    def __init__(self, label: str) -> None:
        self.label = label
        self.began = time.monotonic()
        self.shown: tuple[Progress, TaskID] | None = None

    def __call__(self, done: float) -> None:
        """Show the share that is done, 0 to 1."""
        if self.shown is None and time.monotonic() - self.began >= PATIENCE and sys.stderr.isatty():
            self.shown = self._show()
        if self.shown is not None:
            bar, task = self.shown
            bar.update(task, completed=done)

    def _show(self) -> tuple[Progress, TaskID]:
        from rich.console import Console
        from rich.progress import Progress

        bar = Progress(console=Console(stderr=True), transient=True)
        bar.start()
        return bar, bar.add_task(self.label, total=1.0)

    def close(self) -> None:
        """Clear the bar away."""
        if self.shown is not None:
            self.shown[0].stop()


@contextmanager
def progress(label: str) -> Iterator[Callable[[float], None]]:
    """Give a function to call with the share that is done; clear its bar away afterwards."""
    bar = _Bar(label)
    try:
        yield bar
    finally:
        bar.close()
