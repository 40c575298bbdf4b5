"""From the header lines of a file to values, and the faults of what they say.

Conventions: the words and what they hold are a table such as `chartkit.header.HEADER`; which word
may stand where is for those who know what else is in the file. Nothing stops at a fault: a line
that cannot be read gives no entry.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Protocol, TypeAlias

from chartkit.header import HeaderWord
from chartkit.lines import Misread, Report, Word

Table: TypeAlias = Mapping[str, HeaderWord]

Wrong: TypeAlias = Callable[[str, bool], tuple[str, tuple[str, ...]] | None]
"""From a header word, and whether it stands under bars, to what is wrong with it there."""


class Written(Protocol):
    """A line that may be a header line or one with bars."""

    @property
    def header(self) -> Word | None:
        """The whole header line."""

    @property
    def row(self) -> object:
        """Its bars."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A header line that could be read; `text` is its value as written, `line` its index."""

    line: int
    word: str
    value: Any
    text: Word


def entries_of(lines: Iterable[Written], table: Table, wrong: Wrong, report: Report) -> list[Entry]:
    """Read the header lines among others."""
    entries: list[Entry] = []
    under_rows = False
    seen: set[str] = set()
    for i, line in enumerate(lines):
        under_rows |= bool(line.row)
        if not line.header:
            continue
        word, text = split(line.header, table)
        misplaced = wrong(word, under_rows)
        if not misplaced and word in seen and word != "Note":
            misplaced = f"`{word}:` is given twice", ()
        seen.add(word)
        if misplaced:
            report.tell(line.header.place, *misplaced)
        elif text.text or table[word].is_text:
            entries += _entry(i, word, text, table, report)
        else:
            report.tell(line.header.place, f"`{word}:` has no value")
    return entries


def split(header: Word, table: Table) -> tuple[str, Word]:
    """Return a header line's word, in its tidy spelling if it is known, and its value."""
    written, _, value = header.text.partition(":")
    start = len(header.text) - len(value.lstrip())
    word = written.strip()
    known = (one for one in table if one.casefold() == word.casefold())
    return next(known, word), Word(value.strip(), header.at(start))


def fields_of(entries: Iterable[Entry], table: Table) -> dict[str, Any]:
    """Return the fields that are given; that of ``Note`` is a tuple of all."""
    fields: dict[str, Any] = {}
    for entry in entries:
        name = table[entry.word].field
        if entry.word != "Note":
            fields[name] = entry.value
        elif entry.value:
            fields[name] = (*fields.get(name, ()), entry.value)
    return fields


def _entry(line: int, word: str, text: Word, table: Table, report: Report) -> Iterator[Entry]:
    try:
        yield Entry(line, word, table[word].read(text.text), text)
    except Misread as trouble:
        report.tell(text.place, trouble.found, trouble.expected)
