"""From the text of a phrase file to a phrase, or to every fault in it.

Conventions: the notation is in ``phrase.lark``; no other module knows of its parser. A whole text
is parsed at once. Where that fails, each line is parsed by itself, and of a line that fails each
bar, so that one fault hides no other and there is at most one fault of notation a bar.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Final, NoReturn, cast

from lark import Lark, Token, Transformer, Tree
from lark.exceptions import UnexpectedToken
from lark.parsers.lalr_interactive_parser import InteractiveParser

from chartkit.errors import ChartFaults, Fault, Place
from chartkit.explain import shown
from chartkit.lines import Beat, Cell, Kind, Report, Word
from chartkit.phrase.assemble import assemble
from chartkit.phrase.explain import CHORD_BAR, EMPTY, MELODY_BAR, misplaced, names
from chartkit.phrase.lines import ChordRow, Line, MelodyBar, MelodyRow, Row, Sound, SoundKind
from chartkit.phrase.phrase import Phrase
from chartkit.source import LIMIT, Source, load, too_large

MOST_FAULTS: Final = 100
"""Faults that are told of one text; what has more of them is not nearly a phrase."""

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
    report = Report(MOST_FAULTS)
    phrase = assemble(_lines(page, report), page, report)
    found = sorted(report.faults, key=lambda fault: (fault.place.line, fault.place.column))
    broken = any(fault.severity == "error" for fault in found)
    return Reading(None if broken else phrase, _capped(found))


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


def _capped(faults: list[Fault]) -> tuple[Fault, ...]:
    if len(faults) <= MOST_FAULTS:
        return tuple(faults)
    told, rest = faults[: MOST_FAULTS - 1], faults[MOST_FAULTS - 1 :]
    severity = min(fault.severity for fault in rest)  # "error" comes before "warning"
    found = f"{len(rest)} more faults from here on; mend those above first"
    return (*told, Fault(rest[0].place, found, severity=severity))


# ---- Text to lines --------------------------------------------------------------------------


@cache
def _parser() -> Lark:
    grammar = files("chartkit.grammar").joinpath("phrase.lark").read_text(encoding="utf-8")
    starts = ["phrase", "line", "chord_bar", "melody_bar", "_nowhere"]
    return Lark(grammar, parser="lalr", lexer="basic", start=starts)


def _lines(page: Source, report: Report) -> tuple[Line, ...]:
    """Return the lines of a text, and tell the faults of their notation."""
    parser = _parser().parse_interactive(page.text, start="phrase")
    words = parser.lexer_thread.lex(parser.parser_state)  # type: ignore[no-untyped-call]
    tokens: list[Token] = list(words)
    shape = _Shape(page)
    try:
        return cast("tuple[Line, ...]", shape.transform(_tree(tokens, "phrase")))
    except UnexpectedToken:
        repair = _Repair(page, report)
        return tuple(shape.transform(repair.line(line)) for line in _split(tokens))


def _tree(tokens: Iterable[Token], start: str) -> Tree[Token]:
    parser = _parser().parse_interactive(start=start)
    for token in tokens:
        parser.feed_token(token)
    tree: Tree[Token] = parser.feed_eof()  # type: ignore[no-untyped-call]  # untyped in lark
    return tree


def _split(tokens: Iterable[Token]) -> Iterator[list[Token]]:
    """Split words into lines."""
    line: list[Token] = []
    for token in tokens:
        if token.type == "_NEWLINE":
            yield line
            line = []
        else:
            line.append(token)
    yield line


class _Shape(Transformer[Token, Any]):
    """From the parser's tree to lines; a rule without its method here fails at once."""

    def __init__(self, page: Source) -> None:
        super().__init__(visit_tokens=False)
        self._page = page

    def __default__(self, data: Token, children: object, meta: object) -> NoReturn:
        raise NotImplementedError(f"the rule `{data}` has no method")

    def _word(self, token: Token) -> Word:
        text = token.strip()
        return Word(
            text, self._page.place(token.line or 1, (token.column or 1) + token.index(text))
        )

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

    def line(self, tokens: list[Token]) -> Tree[Token]:
        """Return the tree of a line, with ``BROKEN`` where a bar could not be read."""
        try:
            return _tree(tokens, "line")
        except UnexpectedToken:
            return _tree(self._mended(tokens), "line")

    def _mended(self, tokens: list[Token]) -> list[Token]:
        last = len(tokens) - (tokens[-1].type == "COMMENT")
        row, comment = tokens[:last], tokens[last:]
        if row[0].type in _HEADS:
            return [row[0], *self._row(row[0], row[1:]), *comment]
        if not self._report.full:
            hints = ("`Chords:` or `Melody:` before it", "a header such as `Title: ...`")
            found = f"{shown(row[0])} begins no line of a phrase"
            self._report.tell(self._at(row[0]), found, hints)
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
        misfit = _misfit(tokens, "melody_bar" if melody else "chord_bar")
        if not misfit:
            return tokens
        index, accepted = misfit
        if index == len(tokens):
            end = tokens[-1].end_column or 1
            self._report.tell(self._at(tokens[-1], end), "the bar ends too soon", names(accepted))
        else:
            token = tokens[index]
            said = misplaced(token.type, str(token), melody=melody)
            said = said or (f"{shown(token)} cannot stand here", names(accepted))
            self._report.tell(self._at(token), *said)
        return [Token.new_borrow_pos("BROKEN", "", tokens[0])]

    def _empty(self, sign: Token, *, melody: bool) -> Token:
        self._report.tell(self._at(sign), EMPTY, MELODY_BAR if melody else CHORD_BAR)
        return Token.new_borrow_pos("BROKEN", "", sign)

    def _at(self, token: Token, column: int | None = None) -> Place:
        lead = len(token) - len(token.lstrip())
        return self._page.place(token.line or 1, column or (token.column or 1) + lead)


def _misfit(tokens: list[Token], start: str) -> tuple[int, set[str]] | None:
    """Return the index of the first word that does not fit, and what would have."""
    parser = _parser().parse_interactive(start=start)
    index = 0
    try:
        for index, token in enumerate(tokens):  # noqa: B007 (the index is used where it fails)
            parser.feed_token(token)
        index = len(tokens)
        parser.feed_eof()  # type: ignore[no-untyped-call]  # untyped in lark
    except UnexpectedToken:
        return index, _accepted(parser)
    return None


def _accepted(parser: InteractiveParser) -> set[str]:
    return set(parser.accepts())  # type: ignore[no-untyped-call]  # untyped in lark


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
