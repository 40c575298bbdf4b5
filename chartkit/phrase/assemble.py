"""From the lines of a phrase file to a phrase, and the faults of what they say.

Conventions: nothing stops at a fault. What could not be read is left out of the phrase, which is
whole only if nothing but warnings is told.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from chartkit.chart import Comment, Meter
from chartkit.comments import END, Anchor, anchored
from chartkit.entries import Entry, entries_of, fields_of, split
from chartkit.header import unknown
from chartkit.lines import Report, Word
from chartkit.phrase.chords import chords_of
from chartkit.phrase.header import HEADER, HINTS
from chartkit.phrase.lines import ChordRow, Line, MelodyRow
from chartkit.phrase.melody import Melody, melody_of
from chartkit.phrase.phrase import FOUR_FOUR, Phrase
from chartkit.source import Source

NO_KEY: Final = "there is no `Key:`, so it is estimated from the chords"
NO_CHORDS: Final = "there is no `Chords:`, so nothing is known of what it is played over"


def assemble(lines: Sequence[Line], page: Source, report: Report) -> Phrase | None:
    """Make a phrase of a file's lines; None where there is no melody to make one of."""
    entries = entries_of(lines, HEADER, _wrong, report)
    fields = fields_of(entries, HEADER)
    meter: Meter | None = fields.get("meter")
    if not any(_word_of(line) == "Meter" for line in lines):
        meter = FOUR_FOUR
    chord_rows = [line.row for line in lines if isinstance(line.row, ChordRow)]
    melody_rows = [line.row for line in lines if isinstance(line.row, MelodyRow)]
    over = chords_of(chord_rows, meter, report)
    if not melody_rows:
        hint = "a line such as `Melody: | e D4 F4 A4 C5 q B4 r |`"
        report.tell(page.place(1, 1), "there is no melody", (hint,))
        return None
    melody = melody_of(melody_rows, over, meter, report)
    if not chord_rows:
        report.warn(melody_rows[0].word.place, NO_CHORDS)
    elif not any(_word_of(line) == "Key" for line in lines):
        report.warn(chord_rows[0].word.place, NO_KEY)
    if not melody:
        return None
    return Phrase(
        melody.notes,
        **fields,
        chords=over.chords,
        pickup=melody.pickup,
        comments=_comments(lines, entries, melody, has_chords=bool(chord_rows)),
        lines=melody.lines,
    )


# ---- Header words ---------------------------------------------------------------------------


def _word_of(line: Line) -> str:
    return split(line.header, HEADER)[0] if line.header else ""


def _wrong(word: str, under_rows: bool) -> tuple[str, tuple[str, ...]] | None:
    """Return what is wrong with a header word where it stands, and what could stand there."""
    if word not in HEADER:
        trouble = unknown(f"{word}:", (f"{name}:" for name in HEADER), "header word of a phrase")
        hint = HINTS.get(word.casefold())
        return trouble.found, (hint,) if hint else trouble.expected
    if under_rows:
        return f"`{word}:` comes after bars", ("it above the first bars",)
    return None


# ---- Comments -------------------------------------------------------------------------------


def _comments(
    lines: Sequence[Line], entries: Sequence[Entry], melody: Melody, *, has_chords: bool
) -> tuple[Comment, ...]:
    found = anchored(_anchors(lines, entries, len(melody.lines), has_chords=has_chords))
    return in_tidy_order(found)


def in_tidy_order(comments: Sequence[Comment]) -> tuple[Comment, ...]:
    """Return comments in the order of the tidy file's lines."""
    words = {word: i for i, word in enumerate(HEADER)}

    def order(comment: Comment) -> tuple[int, ...]:
        kind, *rest = comment.anchor
        if kind == END[0]:
            return (2,)
        if kind == "header":
            return (0, words[str(rest[0])], *map(int, rest[1:]))
        return (1, int(rest[0]), int(kind == "melody"))

    return tuple(sorted(comments, key=lambda one: (order(one), not one.own_line)))


def _anchors(
    lines: Sequence[Line], entries: Sequence[Entry], rows: int, *, has_chords: bool
) -> Iterator[tuple[Anchor | None, Word | None]]:
    """Yield the tidy lines that the file's lines become, each with its comment."""
    values = {entry.line: entry for entry in entries}
    counts = {"chords": 0, "melody": 0}
    notes = 0
    for i, line in enumerate(lines):
        anchor: Anchor | None = None
        if i in values and values[i].value:
            word = values[i].word
            anchor = ("header", word, notes) if word == "Note" and notes else ("header", word)
            notes += word == "Note"
        elif line.row:
            kind = "melody" if isinstance(line.row, MelodyRow) else "chords"
            if counts[kind] < rows and (has_chords or kind == "melody"):
                anchor = (kind, counts[kind])
            counts[kind] += 1
        yield anchor, line.comment
