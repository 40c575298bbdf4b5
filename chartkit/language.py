"""A notation in a grammar file, and how texts in it are read.

Conventions: the notation itself is in the grammar's file; only this module and the readers know of
its parser. A whole text is parsed at once. Where that fails, each line is parsed by itself, and of
a line that fails each bar, so that one fault hides no other and there is at most one fault of
notation a bar.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, NoReturn, TypeAlias, cast

from lark import Lark, Token, Transformer, Tree
from lark.exceptions import UnexpectedToken
from lark.parsers.lalr_interactive_parser import InteractiveParser

from chartkit.errors import Place
from chartkit.lines import Word
from chartkit.source import Source

Mend: TypeAlias = Callable[[list[Token]], Iterable[Token]]
"""From the tokens of a line that cannot be read to some that can; tells the faults."""


@dataclass(frozen=True, slots=True)
class Language:
    """A notation.

    Parameters
    ----------
    name : str
        Of its file in ``chartkit.grammar``, without the ending, and of the rule of a whole text.
    parts : tuple of str
        The rules of what is read by itself in a line that cannot be read as it stands.
    """

    name: str
    parts: tuple[str, ...]

    def lines(self, page: Source, shape: Shape, mend: Mend) -> tuple[Any, ...]:
        """Return the lines of a text, each as `shape` makes it of its tree."""
        parser = _parser(self).parse_interactive(page.text, start=self.name)
        words = parser.lexer_thread.lex(parser.parser_state)  # type: ignore[no-untyped-call]
        tokens: list[Token] = list(words)
        try:
            return cast("tuple[Any, ...]", shape.transform(self._tree(tokens, self.name)))
        except UnexpectedToken:
            return tuple(shape.transform(self._line(line, mend)) for line in _split(tokens))

    def begin(self, start: str) -> InteractiveParser:
        """Return a parser at the beginning of a rule, to be fed token by token."""
        return _parser(self).parse_interactive(start=start)

    def misfit(self, tokens: list[Token], start: str) -> tuple[int, set[str]] | None:
        """Return the index of the first token that does not fit a rule, and the kinds that would.

        The index is the number of tokens where they end too soon; None where they all fit.
        """
        parser = self.begin(start)
        index = 0
        try:
            for index, token in enumerate(tokens):  # noqa: B007 (the index is used where it fails)
                parser.feed_token(token)
            index = len(tokens)
            parser.feed_eof()  # type: ignore[no-untyped-call]  # untyped in lark
        except UnexpectedToken:
            return index, accepted(parser)
        return None

    def _line(self, tokens: list[Token], mend: Mend) -> Tree[Token]:
        try:
            return self._tree(tokens, "line")
        except UnexpectedToken:
            return self._tree(mend(tokens), "line")

    def _tree(self, tokens: Iterable[Token], start: str) -> Tree[Token]:
        parser = self.begin(start)
        for token in tokens:
            parser.feed_token(token)
        tree: Tree[Token] = parser.feed_eof()  # type: ignore[no-untyped-call]  # untyped in lark
        return tree


@cache
def _parser(language: Language) -> Lark:
    file = files("chartkit.grammar").joinpath(f"{language.name}.lark")
    starts = [language.name, "line", *language.parts, "_nowhere"]
    return Lark(file.read_text(encoding="utf-8"), parser="lalr", lexer="basic", start=starts)


def _split(tokens: Iterable[Token]) -> Iterator[list[Token]]:
    """Split tokens into lines."""
    line: list[Token] = []
    for token in tokens:
        if token.type == "_NEWLINE":
            yield line
            line = []
        else:
            line.append(token)
    yield line


class Shape(Transformer[Token, Any]):
    """From the parser's tree to lines; a rule without its method fails at once."""

    def __init__(self, page: Source) -> None:
        super().__init__(visit_tokens=False)
        self._page = page

    def __default__(self, data: Token, children: object, meta: object) -> NoReturn:
        raise NotImplementedError(f"the rule `{data}` has no method")

    def _word(self, token: Token) -> Word:
        return Word(token.strip(), place_of(token, self._page))


def accepted(parser: InteractiveParser) -> set[str]:
    """Return the kinds of token that could come next."""
    return set(parser.accepts())  # type: ignore[no-untyped-call]  # untyped in lark


def broken(token: Token) -> Token:
    """Return what stands for a bar that cannot be read, at the place of a token."""
    return Token.new_borrow_pos("BROKEN", "", token)


def place_of(token: Token, page: Source) -> Place:
    """Return where a token begins, past the white space that it may take with it."""
    lead = len(token) - len(token.lstrip())
    return page.place(token.line or 1, (token.column or 1) + lead)


def end_of(token: Token, page: Source) -> Place:
    """Return the place right after a token."""
    return page.place(token.line or 1, token.end_column or 1)
