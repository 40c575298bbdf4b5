"""Comments and the lines they belong to.

Conventions: an anchor names a line of the tidy file: ``("header", "Key")``, ``("header", "Note",
1)`` for the second of several, ``("section", "A")`` for a label, ``("section", "A", "Key")`` for a
word under it, ``("row", "A", 2)`` for a section's third row of bars, and ``("end",)`` after them
all. A comment on a line that the tidy file does not have goes before the next one that it has.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeAlias

from chartkit.chart import Comment
from chartkit.header import HEADER
from chartkit.lines import Word

Anchor: TypeAlias = tuple[str | int, ...]

END: Anchor = ("end",)


def anchored(lines: Iterable[tuple[Anchor | None, Word | None]]) -> list[Comment]:
    """Return the comments of a file, in its order.

    Parameters
    ----------
    lines : iterable of (anchor, comment)
        Each line's own anchor, None where the tidy file has no such line, and its comment if any.
    """
    comments: list[Comment] = []
    waiting: list[str] = []
    for anchor, word in (*lines, (END, None)):
        if anchor:
            comments += [Comment(text, anchor, own_line=True) for text in waiting]
            waiting = []
        if word:
            text = word.text.removeprefix(";").strip()
            if anchor:
                comments.append(Comment(text, anchor, own_line=False))
            else:
                waiting.append(text)
    return comments


def in_tidy_order(comments: Iterable[Comment], labels: Iterable[str]) -> tuple[Comment, ...]:
    """Return comments in the order of the tidy file's lines; `labels` are the sections'."""
    places = {label: i for i, label in enumerate(labels)}
    words = {word: i for i, word in enumerate(HEADER)}

    def order(comment: Comment) -> tuple[int, ...]:
        kind, *rest = comment.anchor
        if kind == "end":
            return (2,)
        if kind == "header":
            return (0, words[str(rest[0])], *map(int, rest[1:]))
        block = (1, places[str(rest[0])])
        if kind == "row":
            return (*block, 1, int(rest[1]))
        return (*block, 0, *(words[str(word)] for word in rest[1:]))

    return tuple(sorted(comments, key=lambda one: (order(one), not one.own_line)))
