"""Tidy text: the header lines of it, and its lines with the comments that belong to them.

Conventions: every line of a tidy file has an anchor (`chartkit.comments`), last its end, which has
no text.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TypeAlias

from chartkit.chart import Comment
from chartkit.comments import Anchor
from chartkit.entries import Table

TidyLine: TypeAlias = tuple[Anchor, str | None, bool]
"""A line's anchor, its text and whether a blank line comes before it."""


def text_of(lines: Iterable[TidyLine], comments: Iterable[Comment]) -> str:
    """Return the text of tidy lines with their comments, ended by a line end."""
    before: dict[Anchor, list[str]] = {}
    beside: dict[Anchor, str] = {}
    for comment in comments:
        note = f"; {comment.text}".rstrip()
        if comment.own_line:
            before.setdefault(comment.anchor, []).append(note)
        else:
            beside[comment.anchor] = f"  {note}"
    written: list[str] = []
    for anchor, text, starts_block in lines:
        if starts_block and written:
            written.append("")
        written += before.get(anchor, ())
        if text is not None:
            written.append(text + beside.get(anchor, ""))
    return "\n".join(written).rstrip("\n") + "\n"


def header_lines(owner: object, table: Table) -> Iterator[TidyLine]:
    """Yield the header lines of a value whose fields a table of header words names."""
    for word, row in table.items():
        value = getattr(owner, row.field)
        if word == "Note":
            for i, note in enumerate(value):
                anchor: Anchor = ("header", word, i) if i else ("header", word)
                yield anchor, f"{word}: {row.write(note)}", False
        elif value:
            yield ("header", word), f"{word}: {row.write(value)}", False
