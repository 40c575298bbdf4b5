"""From the text of a chart file to a chart, or to every fault in it.

Conventions: the notation is in ``chart.lark``; how a text in it is parsed, whole or in parts, is
told in `chartkit.language`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from lark import Token
from lark.exceptions import UnexpectedToken

from chartkit.assemble import assemble
from chartkit.chart import Chart, Mark, RightBarline
from chartkit.errors import ChartFaults, Fault, Place
from chartkit.explain import BEATS, EMPTY, misplaced, names, shown
from chartkit.language import Language, Shape, accepted, broken, end_of, place_of
from chartkit.lines import Barline, Beat, Cell, Kind, Line, Report, Row, sign_of
from chartkit.source import LIMIT, TOO_LARGE, Source, load

_LANGUAGE: Final = Language("chart", ("barline", "cell"))

_SIGN_KINDS: Final = frozenset({"BAR", "BAR_ENDING", "DOUBLE", "FINAL", "OPEN", "CLOSE", "BOTH"})
_SIGN_ADDITIONS: Final = frozenset({"TIMES", "ENDING"})
_BARLINE_KINDS: Final = _SIGN_KINDS | _SIGN_ADDITIONS
_RIGHT: Final[dict[str, RightBarline]] = {
    "CLOSE": ":|",
    "BOTH": ":|",
    "FINAL": "|]",
    "DOUBLE": "||",
}


@dataclass(frozen=True, slots=True)
class Reading:
    """What a text gave: a chart unless there are errors, and all faults in order of place.

    With a chart, `faults` holds warnings at most.
    """

    chart: Chart | None
    faults: tuple[Fault, ...]


def parse(text: str, source: str) -> Reading:
    """Read a chart's text.

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
        return Reading(None, (Fault(Source(source, ("",)).place(1, 1), TOO_LARGE),))
    page = Source.of(text, source)
    report = Report()
    lines = _LANGUAGE.lines(page, _Shape(page), _Repair(page, report).line)
    chart = assemble(lines, page, report)
    return Reading(None if report.broken else chart, report.told())


def read(path: str) -> Chart:
    """Read a chart file, ``-`` for standard input.

    Raises
    ------
    ChartFaults
        The text holds errors; it carries them all, and the warnings.
    OutputError
        There is no such file, or it cannot be read as text.
    """
    reading = parse(load(path), path)
    if not reading.chart:
        raise ChartFaults(reading.faults)
    return reading.chart


# ---- Text to lines --------------------------------------------------------------------------


class _Shape(Shape):
    """From the parser's tree to lines."""

    def _place(self, part: Token | Mark | tuple[Beat, ...]) -> Place | None:
        if isinstance(part, Token):
            return self._word(part).place
        if isinstance(part, Mark):
            return part.place
        return (part[0].quoted or part[0].word).place

    def chart(self, lines: list[Line]) -> tuple[Line, ...]:
        return tuple(lines)

    def line(self, parts: list[Token | Row]) -> Line:
        words = {part.type: self._word(part) for part in parts if isinstance(part, Token)}
        row = next((part for part in parts if not isinstance(part, Token)), None)
        return Line(words.get("HEADER"), words.get("LABEL"), row, words.get("COMMENT"))

    def row(self, parts: list[Barline | Cell]) -> Row:
        return tuple(parts)

    def barline(self, tokens: list[Token]) -> Barline:
        kinds = {token.type: token for token in tokens}
        right = next((_RIGHT[kind] for kind in kinds if kind in _RIGHT), None)
        if not right:
            right = "||" if kinds.get("OPEN") == "||:" else "|"
        words = {kind: self._word(token) for kind, token in kinds.items()}
        ending = words.get("ENDING") or words.get("BAR_ENDING")
        opening = words.get("OPEN") or words.get("BOTH")
        return Barline(
            self._word(tokens[0]).place,
            right,
            words.get("TIMES"),
            opening is not None,
            ending,
            opening.place if opening else ending.place if ending else None,
        )

    def cell(self, parts: list[Token | Mark | tuple[Beat, ...]]) -> Cell:
        words = {part.type: self._word(part) for part in parts if isinstance(part, Token)}
        groups = (part for part in parts if isinstance(part, tuple))
        return Cell(
            self._place(parts[0]),
            beats=tuple(beat for group in groups for beat in group),
            simile=words.get("SIMILE"),
            meter=words.get("METER"),
            marks=tuple(part for part in parts if isinstance(part, Mark)),
            broken="BROKEN" in words,
        )

    def slash(self, tokens: list[Token]) -> tuple[Beat, ...]:
        return (Beat(Kind.SLASH, self._word(tokens[0])),)

    def change(self, tokens: list[Token]) -> tuple[Beat, ...]:
        *quoted, symbol = tokens
        kind = Kind.CHORD if symbol.type == "CHORD" else Kind.NO_CHORD
        return (Beat(kind, self._word(symbol), self._word(quoted[0]) if quoted else None),)

    def turnaround(self, groups: list[tuple[Beat, ...]]) -> tuple[Beat, ...]:
        return tuple(replace(beat, turnaround=True) for group in groups for beat in group)

    def mark(self, tokens: list[Token]) -> Mark:
        last_time = tokens[0].type == "LAST_TIME"
        sign = sign_of("".join(tokens[last_time:]))
        return Mark(sign, last_time, self._word(tokens[0]).place)


# ---- Lines that cannot be read as they stand ----------------------------------------------------


class _Repair:
    """Makes a readable line of any, and keeps a fault for each bar that could not be read."""

    def __init__(self, page: Source, report: Report) -> None:
        self._page = page
        self._report = report

    def line(self, tokens: list[Token]) -> Iterator[Token]:
        """Return the words of a line, with ``BROKEN`` where a bar could not be read."""
        first = int(tokens[0].type == "LABEL")
        last = len(tokens) - (tokens[-1].type == "COMMENT")
        yield from tokens[:first]
        yield from self._row(tokens[first:last])
        yield from tokens[last:]

    def _row(self, tokens: list[Token]) -> Iterator[Token]:
        cells = 0
        for is_barline, group in _groups(tokens):
            for token in self._barline(group) if is_barline else self._cell(group):
                cells += token.type not in _BARLINE_KINDS
                yield token
            if self._report.full and cells:
                return
        if not cells:
            yield self._empty(tokens[-1])

    def _cell(self, tokens: list[Token]) -> list[Token]:
        misfit = _LANGUAGE.misfit(tokens, "cell")
        if not misfit:
            return tokens
        index, fitting = misfit
        if index == len(tokens):
            end = end_of(tokens[-1], self._page)
            self._report.tell(end, "the bar ends too soon", names(fitting))
        else:
            before = tokens[index - 1] if index else None
            chord = before if before and before.type == "CHORD" else ""
            self._refuse(tokens[index], chord, names(fitting))
        return [broken(tokens[0])]

    def _barline(self, tokens: list[Token]) -> Iterator[Token]:
        """Put a broken bar between signs that are no one bar line together."""
        parser = _LANGUAGE.begin("barline")
        for token in tokens:
            try:
                parser.feed_token(token)
            except UnexpectedToken:
                if token.type not in _SIGN_KINDS:
                    self._refuse(token, "", names(accepted(parser)))
                    continue
                yield self._empty(token)
                if self._report.full:
                    return
                parser = _LANGUAGE.begin("barline")
                parser.feed_token(token)
            yield token

    def _empty(self, sign: Token) -> Token:
        self._report.tell(place_of(sign, self._page), EMPTY, BEATS)
        return broken(sign)

    def _refuse(self, token: Token, chord: str, expected: tuple[str, ...]) -> None:
        """Tell of a word that cannot stand where it does; `chord` stands right before it."""
        said = misplaced(token.type, str(token), chord)
        said = said or (f"{shown(token)} cannot stand here", expected)
        self._report.tell(place_of(token, self._page), *said)


def _groups(tokens: list[Token]) -> Iterator[tuple[bool, list[Token]]]:
    """Split a row's words into bar lines and cells, in turn."""
    is_barline = False
    group: list[Token] = []
    for token in tokens:
        joins = is_barline and token.type in _SIGN_ADDITIONS
        sign = joins or token.type in _SIGN_KINDS
        if group and sign != is_barline:
            yield is_barline, group
            group = []
        is_barline = sign
        group.append(token)
    yield is_barline, group
