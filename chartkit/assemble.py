"""From the lines of a file to a chart, and the faults of what they say.

Conventions: nothing stops at a fault. What could not be read is left out of the chart (a broken bar
has no slots), and the checks say nothing about what is left out.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Final

from chartkit.bars import Count, bar_of, change_meter
from chartkit.chart import Bar, Chart, Comment, Meter, Section, Simile
from chartkit.checks import check
from chartkit.comments import Anchor, anchored, in_tidy_order
from chartkit.entries import Entry, entries_of, fields_of, split
from chartkit.explain import shown
from chartkit.header import HEADER, OVERRIDES, unknown
from chartkit.lines import Line, Report, Row, Word
from chartkit.rows import measures
from chartkit.source import Source

_LABEL: Final = re.compile(r"\[\s*([^\W\d_]+[0-9]*)\s*\]")
_LABEL_HINT: Final = "a letter, a letter with a number or a word, as in `[A]`, `[A2]` or `[Intro]`"


@dataclass(frozen=True, slots=True)
class _Block:
    """The header's lines, or a label's line and those after it."""

    label: str
    lines: list[Line] = field(default_factory=list)

    @property
    def rows(self) -> Iterator[Row]:
        """Its rows of bars."""
        return (line.row for line in self.lines if line.row)

    def says(self, word: str) -> bool:
        """Whether a line of it begins with a header word, readable or not."""
        return any(line.header and split(line.header, HEADER)[0] == word for line in self.lines)


def assemble(lines: Iterable[Line], page: Source, report: Report) -> Chart | None:
    """Make a chart of a file's lines; None where there is no section to make one of.

    The chart is whole only if nothing but warnings is told.
    """
    header, *blocks = _blocks(lines, report)
    entries = _entries(header, report)
    _tell_stray_rows(header, report)
    if not blocks:
        if not any(header.rows):
            hint = "a label such as `[A]`, and bars after it"
            report.tell(page.place(1, 1), "there is no section", (hint,))
        return None
    counter = _Counter(header, entries, report)
    overrides = [_entries(block, report) for block in blocks]
    sections = tuple(map(counter.section, blocks, overrides))
    chart = Chart(
        sections,
        **fields_of(entries, HEADER),
        comments=_comments([header, *blocks], [entries, *overrides]),
    )
    if not header.says("Key"):
        report.warn(sections[0].place, "there is no `Key:`, so it is estimated from the changes")
    return check(chart, {entry.word: entry.text for entry in entries}, report)


def _blocks(lines: Iterable[Line], report: Report) -> list[_Block]:
    """Divide lines at the labels."""
    blocks = [_Block("")]
    taken: set[str] = set()
    for line in lines:
        if line.label:
            match = _LABEL.fullmatch(line.label.text)
            label = match[1] if match else line.label.text
            if not match:
                found = f"{shown(line.label.text)} is not a label"
                report.tell(line.label.place, found, (_LABEL_HINT,))
            elif label.casefold() in taken:
                found = f"there is a section {shown(line.label.text)} already"
                report.tell(line.label.place, found, ("a label of its own",))
            taken.add(label.casefold())
            blocks.append(_Block(label))
        blocks[-1].lines.append(line)
    return blocks


def _tell_stray_rows(header: _Block, report: Report) -> None:
    row = next(header.rows, None)
    if row:
        hints = ("a header such as `Title: ...`", "a label such as `[A]` above the first bars")
        report.tell(row[0].place, "this line stands in no section", hints)


# ---- Header words ---------------------------------------------------------------------------


def _entries(block: _Block, report: Report) -> list[Entry]:
    """Read a block's header lines."""
    return entries_of(block.lines, HEADER, partial(_wrong, block.label), report)


def _wrong(label: str, word: str, under_rows: bool) -> tuple[str, tuple[str, ...]] | None:
    """Return what is wrong with a header word where it stands, and what could stand there."""
    if word not in HEADER:
        trouble = unknown(f"{word}:", (f"{name}:" for name in HEADER), "header word")
        return trouble.found, trouble.expected
    if label and word not in OVERRIDES:
        return f"`{word}:` belongs above the first section", tuple(f"`{w}:`" for w in OVERRIDES)
    if label and under_rows:
        return f"`{word}:` comes after bars", ("it directly under its section's label",)
    return None


# ---- Sections -------------------------------------------------------------------------------


class _Counter:
    """Makes the sections one after the other, and counts bars and beats through them all."""

    def __init__(self, header: _Block, entries: Sequence[Entry], report: Report) -> None:
        fields = fields_of(entries, HEADER)
        self._report = report
        self._number = 0 if header.says("Pickup") and fields.get("pickup") != 0 else 1
        self._meter: Meter | None = fields.get("meter")
        if not header.says("Meter"):
            self._meter = Meter(4)
        self._pickup = next((entry for entry in entries if entry.word == "Pickup"), None)

    def section(self, block: _Block, overrides: Sequence[Entry]) -> Section:
        """Make the next section."""
        fields = fields_of(overrides, HEADER)
        meter = fields.get("meter") if block.says("Meter") else self._meter
        label = block.lines[0].label
        assert label, "a section begins with its label"
        bars = tuple(self._bars(block, meter))
        if not bars:
            self._report.tell(label.place, f"{shown(label.text)} has no bars", ("bars under it",))
        return Section(block.label, bars, **fields, place=label.place)

    def _bars(self, block: _Block, meter: Meter | None) -> Iterator[Bar]:
        count = Count(meter) if meter else None
        for measure in measures(block.rows, self._report):
            if measure.cell.meter:
                count = change_meter(count, measure.cell.meter, self._report)
            counted = count if self._number else self._in_pickup(count)
            bar = bar_of(measure, self._number, counted, self._report)
            yield bar
            self._number += 2 if bar.slots and bar.slots[0] == Simile(2) else 1

    def _in_pickup(self, count: Count | None) -> Count | None:
        """Return how the pickup bar is counted; None where `Pickup:` makes no sense."""
        if not (count and self._pickup):
            return None
        beats, most = self._pickup.value, count.meter.beats - 1
        if beats > most:
            found = f"a pickup of {beats} beats is no shorter than a bar of {count.meter}"
            self._report.tell(self._pickup.text.place, found, (f"{most} at most",))
            return None
        return Count(count.meter, beats)


# ---- Comments -------------------------------------------------------------------------------


def _comments(blocks: Sequence[_Block], entries: Sequence[Sequence[Entry]]) -> tuple[Comment, ...]:
    lines = (
        pair
        for block, own in zip(blocks, entries, strict=True)
        for pair in _anchors(block, {entry.line: entry for entry in own})
    )
    return in_tidy_order(anchored(lines), [block.label for block in blocks])


def _anchors(
    block: _Block, entries: dict[int, Entry]
) -> Iterator[tuple[Anchor | None, Word | None]]:
    """Yield the tidy lines that a block's lines become, each with its comment."""
    rows = notes = 0
    for i, line in enumerate(block.lines):
        anchor: Anchor | None = None
        if line.label:
            anchor = ("section", block.label)
        elif i in entries and entries[i].value:
            anchor = _header_anchor(block, entries[i].word, notes)
            notes += entries[i].word == "Note"
        if line.row and not all(getattr(part, "only_marks", True) for part in line.row):
            yield anchor, None
            anchor = ("row", block.label, rows)
            rows += 1
        yield anchor, line.comment


def _header_anchor(block: _Block, word: str, notes: int) -> Anchor:
    if block.label:
        return ("section", block.label, word)
    return ("header", word, notes) if word == "Note" and notes else ("header", word)
