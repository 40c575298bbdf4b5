"""From the text of a phrase file to a phrase, or to every fault in it.

Conventions: the notation is in ``phrase.lark``; how a text in it is parsed, whole or in parts, is
told in `chartkit.language`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from lark import Token

from chartkit.errors import ChartFaults, Fault
from chartkit.explain import shown
from chartkit.language import Language, Shape, broken, end_of, place_of
from chartkit.lines import Beat, Cell, Kind, Report
from chartkit.phrase.assemble import assemble
from chartkit.phrase.explain import CHORD_BAR, EMPTY, MELODY_BAR, misplaced, names
from chartkit.phrase.lines import ChordRow, Line, MelodyBar, MelodyRow, Row, Sound, SoundKind
from chartkit.phrase.phrase import Phrase
from chartkit.source import LIMIT, Source, load, too_large

_LANGUAGE: Final = Language("phrase", ("chord_bar", "melody_bar"))

_SIGNS: Final = frozenset({"BAR", "DOUBLE", "FINAL"})
_HEADS: Final = frozenset({"CHORDS", "MELODY"})
_BEATS: Final = {"SLASH": Kind.SLASH, "NO_CHORD": Kind.NO_CHORD}
_SOUNDS: Final = {kind.name: kind for kind in SoundKind}


@dataclass(frozen=True, slots=True)
class Reading:
    """What a text gave: a phrase unless there are errors, and all faults in order of place.

    With a phrase, `faults` holds warnings at most.
    """

    phrase: Phrase | None
    faults: tuple[Fault, ...]


def parse(text: str, source: str) -> Reading:
    """Read a phrase's text.

    Parameters
    ----------
    text : str
        Any text at all.
    source : str
        The name it goes by in messages: its file, or ``-``.

    Returns
    -------
    Reading
        Never more than `MOST_FAULTS` faults, the last of which then says that there are more.
    """
    if len(text.encode("utf-8", "surrogatepass")) > LIMIT:
        return Reading(None, (Fault(Source(source, ("",)).place(1, 1), too_large("phrase")),))
    page = Source.of(text, source)
    report = Report()
    lines = _LANGUAGE.lines(page, _Shape(page), _Repair(page, report).line)
    phrase = assemble(lines, page, report)
    return Reading(None if report.broken else phrase, report.told())


def read(path: str) -> Phrase:
    """Read a phrase file, ``-`` for standard input.

    Raises
    ------
    ChartFaults
        The text holds errors; it carries them all, and the warnings.
    OutputError
        There is no such file, or it cannot be read as text.
    """
    reading = parse(load(path, "phrase"), path)
    if not reading.phrase:
        raise ChartFaults(reading.faults)
    return reading.phrase


# ---- Text to lines --------------------------------------------------------------------------


class _Shape(Shape):
    """From the parser's tree to lines."""

    def phrase(self, lines: list[Line]) -> tuple[Line, ...]:
        return tuple(lines)

    def line(self, parts: list[Token | Row]) -> Line:
        words = {part.type: self._word(part) for part in parts if isinstance(part, Token)}
        row = next((part for part in parts if not isinstance(part, Token)), None)
        return Line(words.get("HEADER"), row, words.get("COMMENT"))

    def barline(self, _tokens: list[Token]) -> None:
        return None

    def chords(self, parts: list[Any]) -> ChordRow:
        head, *row = parts
        bars = tuple(part for part in row if part)
        return ChordRow(self._word(head), bars, row[0] is None, row[-1] is None)

    def melody(self, parts: list[Any]) -> MelodyRow:
        head, *row = parts
        bars = tuple(part for part in row if part)
        return MelodyRow(self._word(head), bars, row[0] is None, row[-1] is None)

    def chord_bar(self, tokens: list[Token]) -> Cell:
        first = self._word(tokens[0])
        if tokens[0].type == "BROKEN":
            return Cell(first.place, broken=True)
        if tokens[0].type == "SIMILE":
            return Cell(first.place, simile=first)
        beats = (Beat(_BEATS.get(token.type, Kind.CHORD), self._word(token)) for token in tokens)
        return Cell(first.place, tuple(beats))

    def melody_bar(self, parts: list[Token | Sound]) -> MelodyBar:
        sounds = tuple(part for part in parts if isinstance(part, Sound))
        if not sounds:
            assert isinstance(parts[0], Token), "a bar without a sound is broken"
            return MelodyBar(self._word(parts[0]).place, broken=True)
        return MelodyBar(sounds[0].place, sounds)

    def sound(self, tokens: list[Token]) -> Sound:
        words = {token.type: self._word(token) for token in tokens}
        kind = next(kind for name, kind in _SOUNDS.items() if name in words)
        types = [token.type for token in tokens]
        way = types.count("UP") - types.count("DOWN")
        return Sound(kind, words[kind.name], words.get("VALUE"), way, words.get("TIE"))


# ---- Lines that cannot be read as they stand ----------------------------------------------------


class _Repair:
    """Makes a readable line of any, and keeps a fault for each bar that could not be read."""

    def __init__(self, page: Source, report: Report) -> None:
        self._page = page
        self._report = report

    def line(self, tokens: list[Token]) -> list[Token]:
        """Return the words of a line, with ``BROKEN`` where a bar could not be read."""
        last = len(tokens) - (tokens[-1].type == "COMMENT")
        row, comment = tokens[:last], tokens[last:]
        if row[0].type in _HEADS:
            return [row[0], *self._row(row[0], row[1:]), *comment]
        if not self._report.full:
            hints = ("`Chords:` or `Melody:` before it", "a header such as `Title: ...`")
            found = f"{shown(row[0])} begins no line of a phrase"
            self._report.tell(place_of(row[0], self._page), found, hints)
        return comment

    def _row(self, head: Token, tokens: list[Token]) -> Iterator[Token]:
        """Put a broken bar wherever none can be read."""
        melody = head.type == "MELODY"
        bars = 0
        sign: Token | None = None
        for group in _groups(tokens):
            if group[0].type not in _SIGNS:
                yield from self._bar(group, melody=melody)
                bars += 1
                sign = None
                continue
            for token in group:
                if sign:
                    yield self._empty(token, melody=melody)
                    bars += 1
                yield token
                sign = token
            if self._report.full and bars:
                return
        if not bars:
            yield self._empty(sign or head, melody=melody)

    def _bar(self, tokens: list[Token], *, melody: bool) -> list[Token]:
        misfit = _LANGUAGE.misfit(tokens, "melody_bar" if melody else "chord_bar")
        if not misfit:
            return tokens
        index, fitting = misfit
        if index == len(tokens):
            end = end_of(tokens[-1], self._page)
            self._report.tell(end, "the bar ends too soon", names(fitting))
        else:
            token = tokens[index]
            said = misplaced(token.type, str(token), melody=melody)
            said = said or (f"{shown(token)} cannot stand here", names(fitting))
            self._report.tell(place_of(token, self._page), *said)
        return [broken(tokens[0])]

    def _empty(self, sign: Token, *, melody: bool) -> Token:
        self._report.tell(place_of(sign, self._page), EMPTY, MELODY_BAR if melody else CHORD_BAR)
        return broken(sign)


def _groups(tokens: list[Token]) -> Iterator[list[Token]]:
    """Split a row's words into bar lines and what stands between them, in turn."""
    group: list[Token] = []
    for token in tokens:
        if group and (token.type in _SIGNS) != (group[0].type in _SIGNS):
            yield group
            group = []
        group.append(token)
    if group:
        yield group
