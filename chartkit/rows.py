"""From a section's rows to its measures.

Conventions: the rows of a section are one row. The bar line that ends a line of the file and the
one that starts the next are one sign. Words of navigation that stand outside the bar lines belong
to the bar beside them: Segno and Coda to the next, the others to the one before.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from chartkit.chart import Mark, Sign
from chartkit.explain import BEATS, EMPTY
from chartkit.lines import Barline, Cell, Report, Row


@dataclass(frozen=True, slots=True)
class Measure:
    """A cell between its bar lines; None at a section's edge that has none."""

    left: Barline | None
    cell: Cell
    right: Barline | None
    ends_row: bool


def measures(rows: Iterable[Row], report: Report) -> tuple[Measure, ...]:
    """Join rows to measures, and tell what does not join."""
    joiner = _Joiner(report)
    for row in rows:
        joiner.add(row)
    joiner.tell_left_over()
    return tuple(joiner.measures())


class _Joiner:
    """Signs and cells alternate; the first and the last are signs, None where there is none."""

    def __init__(self, report: Report) -> None:
        self._report = report
        self._signs: list[Barline | None] = [None]
        self._cells: list[Cell] = []
        self._row_ends: set[int] = set()
        self._waiting: list[Mark] = []

    def add(self, row: Row) -> None:
        """Add one line's row."""
        for i, part in enumerate(row):
            if isinstance(part, Barline):
                before = self._signs[-1]
                self._signs[-1] = before.joined(part) if before else part
            elif part.only_marks and i in (0, len(row) - 1):
                self._outside(part.marks)
            else:
                self._cell(part)
        self._row_ends.add(len(self._cells) - 1)

    def _cell(self, cell: Cell) -> None:
        if cell.only_marks:
            self._report.tell(cell.place, EMPTY, BEATS)
            cell = Cell(cell.place, broken=True)
        if self._cells and not self._signs[-1]:
            hint = "a bar line here or at the end of the line above"
            self._report.tell(cell.place, "a bar is broken over two lines", (hint,))
            self._cells[-1] = replace(self._cells[-1], broken=True)
            cell = replace(cell, broken=True)
        if self._waiting or cell.marks:
            cell = replace(cell, marks=self._each_once((*self._waiting, *cell.marks)))
            self._waiting = []
        self._cells.append(cell)
        self._signs.append(None)

    def _outside(self, marks: Iterable[Mark]) -> None:
        for mark in marks:
            if mark.sign.at_start:
                self._waiting.append(mark)
            elif self._cells:
                last = self._cells[-1]
                self._cells[-1] = replace(last, marks=self._each_once((*last.marks, mark)))
            else:
                found = f"`{mark.sign.value}` stands after no bar"
                self._report.tell(mark.place, found, ("a bar before it",))

    def _each_once(self, marks: tuple[Mark, ...]) -> tuple[Mark, ...]:
        """Return a bar's marks, without those that it has already."""
        kept: dict[Sign, Mark] = {}
        for mark in marks:
            if kept.setdefault(mark.sign, mark) is not mark:
                self._report.tell(mark.place, f"`{mark.sign.value}` stands at this bar already")
        return tuple(kept.values())

    def measures(self) -> Iterator[Measure]:
        """Yield what was joined."""
        neighbours = zip(self._signs, self._cells, self._signs[1:], strict=False)
        for i, (left, cell, right) in enumerate(neighbours):
            yield Measure(left, cell, right, i in self._row_ends)

    def tell_left_over(self) -> None:
        """Tell of what stands at the section's edges and belongs to nothing."""
        tell = self._report.tell
        for mark in self._waiting:
            tell(mark.place, f"`{mark.sign.value}` stands before no bar", ("a bar after it",))
        first, last = self._signs[0], self._signs[-1]
        if first and first.right == ":|":
            tell(first.place, "`:|` stands before the section's first bar", ("`|`", "`|:`"))
        if last and last.opens:
            tell(last.place, "`|:` stands after the section's last bar", ("`|`", "`:|`"))
        if last and last.ending:
            tell(last.ending.place, "the ending has no bars", ("a bar after it",))
