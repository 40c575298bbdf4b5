"""Rows of words in columns, for a player who reads them at a glance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

INDENT = "  "


def table(rows: Sequence[Sequence[str]], *, numbers: int = 0) -> Iterator[str]:
    """Yield lines of aligned cells; a row of one cell is a line of its own.

    Parameters
    ----------
    rows : sequence of sequence of str
    numbers : int
        So many of the first columns are aligned to the right.
    """
    full = [row for row in rows if len(row) > 1]
    widths = [max(map(len, column)) for column in zip(*full, strict=True)]
    for row in rows:
        cells = row if len(row) == 1 else _aligned(row, widths, numbers)
        yield (INDENT + INDENT.join(cells)).rstrip()


def _aligned(row: Sequence[str], widths: Sequence[int], numbers: int) -> Iterator[str]:
    for index, (cell, width) in enumerate(zip(row, widths, strict=True)):
        yield cell.rjust(width) if index < numbers else cell.ljust(width)
