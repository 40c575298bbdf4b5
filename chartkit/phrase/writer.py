"""From a phrase to its one tidy text, the chords over their notes and bar lines under bar lines.

Conventions: what the reader reads from the tidy text is the same phrase, and writing that gives the
same text. Every line of it has an anchor (`chartkit.comments`), by which comments find their place.
Each bar says its first note's value, and every pitch its octave. A bar whose chords are those of
the bar before is a simile; slashes stand only where chords do not share their bar evenly.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, pairwise
from typing import Final

from chartkit.comments import END
from chartkit.phrase.header import HEADER
from chartkit.phrase.phrase import Phrase, PhraseChord, PhraseNote
from chartkit.phrase.pitches import MIDDLE_C, chord_at, degree_name
from chartkit.phrase.values import LETTERS_OF
from chartkit.theory.symbol import write_symbol
from chartkit.tidy import TidyLine, header_lines, text_of

_WIDEST: Final = 100
"""Characters of a line where the phrase does not say how many bars it has."""

_MOST_BARS: Final = 4
_HEADS: Final = {"chords": "Chords:", "melody": "Melody:"}


def write(phrase: Phrase) -> str:
    """Return the tidy text of a phrase, ended by a line end.

    Parameters
    ----------
    phrase : Phrase
        As written: see `chartkit.phrase.phrase`. Its texts hold no line ends.
    """
    return text_of(_lines(phrase), phrase.comments)


def _lines(phrase: Phrase) -> Iterator[TidyLine]:
    yield from header_lines(phrase, HEADER)
    yield from _rows(phrase)
    yield END, None, True


# ---- Rows -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Cell:
    """What stands in one bar: its chords, and its notes under them."""

    chords: str
    melody: str

    @property
    def width(self) -> int:
        return max(len(self.chords), len(self.melody))


def _rows(phrase: Phrase) -> Iterator[TidyLine]:
    """Yield the rows of chords and of melody in turn."""
    pickup, *cells = _cells(phrase)
    lines = _in_lines(cells, phrase.lines)
    lead = f"{pickup.melody} " if pickup.melody else ""
    widths = [
        max(cell.width for cell in column)
        for column in (
            [line[i] for line in lines if i < len(line)] for i in range(max(map(len, lines)))
        )
    ]
    for n, line in enumerate(lines):
        sign = "|]" if line is lines[-1] else "|"
        kinds = ("chords", "melody") if phrase.chords else ("melody",)
        for kind in kinds:
            words = (f"{getattr(cell, kind):<{w}}" for cell, w in zip(line, widths, strict=False))
            led = lead if kind == "melody" and n == 0 else " " * len(lead)
            row = f"{_HEADS[kind]} {led}| {' | '.join(words)} {sign}"
            yield (kind, n), row, kind == kinds[0]


def _in_lines(cells: Sequence[_Cell], counts: Sequence[int]) -> list[list[_Cell]]:
    """Divide bars into lines: as the file has them, else as many as there is room for."""
    if sum(counts) == len(cells):
        ends = list(accumulate(counts))
        return [list(cells[first:last]) for first, last in pairwise([0, *ends])]
    lines: list[list[_Cell]] = [[]]
    room = _WIDEST
    for cell in cells:
        if lines[-1] and (cell.width > room or len(lines[-1]) == _MOST_BARS):
            lines.append([])
            room = _WIDEST
        lines[-1].append(cell)
        room -= cell.width + len(" | ")
    return lines


def _cells(phrase: Phrase) -> Iterator[_Cell]:
    """Yield the pick-up, which may be empty, then each bar."""
    bar = phrase.meter.length
    words = _melody(phrase)
    groups: dict[int, list[str]] = {}
    for note, text in words:
        groups.setdefault(note.start // bar, []).append(text)
    yield _Cell("", " ".join(groups.get(-1, ())))
    before: tuple[PhraseChord, ...] = ()
    for n in range(phrase.bars):
        own = tuple(one for one in phrase.chords if n * bar <= one.start < (n + 1) * bar)
        yield _Cell(_chords(own, before, phrase.meter.unit), " ".join(groups.get(n, ())))
        before = own


# ---- What stands in a bar -------------------------------------------------------------------


def _chords(own: Sequence[PhraseChord], before: Sequence[PhraseChord], beat: Fraction) -> str:
    if [(one.chord, one.length) for one in own] == [(one.chord, one.length) for one in before]:
        return "%" if own else ""
    even = all(one.length == own[0].length for one in own)
    return " ".join(word for one in own for word in _beats(one, beat, even=even))


def _beats(one: PhraseChord, beat: Fraction, *, even: bool) -> Iterator[str]:
    """Yield a chord and its slashes; `even`: the bar needs none."""
    yield write_symbol(one.chord) if one.chord else "N.C."
    if not even:
        yield from "/" * (int(one.length / beat) - 1)


def _melody(phrase: Phrase) -> Iterator[tuple[PhraseNote, str]]:
    """Yield each note with its words."""
    before = MIDDLE_C
    value: Fraction | None = None
    bar: int | None = None
    for note in phrase.notes:
        number = note.start // phrase.meter.length
        says_value = number != bar or note.length != value
        bar, value = number, note.length
        words = [LETTERS_OF[note.length]] if says_value else []
        words.append(_sound(note, before, phrase.chords))
        if note.tie:
            words.append("_")
        if note.pitch:
            before = note.pitch.midi
        yield note, " ".join(words)


def _sound(note: PhraseNote, before: int, chords: tuple[PhraseChord, ...]) -> str:
    if not note.pitch:
        return "r"
    over = chord_at(chords, note.start)
    if note.degree and over and over.chord:
        name = degree_name(over.chord, note.degree)
        if name == note.pitch.name:
            return " ".join((*_ways(note.pitch.midi, before), str(note.degree)))
    return str(note.pitch)


def _ways(midi: int, before: int) -> Iterator[str]:
    """Yield the words that lead from the note before to one that is not the nearest of its name."""
    nearby = (midi - before + 5) % 12 - 5 == midi - before  # from a tritone up to a fourth down
    if not nearby and midi > before:
        yield from ["up"] * -((before - midi) // 12)
    elif not nearby:
        yield from ["down"] * -((midi - before) // 12)
