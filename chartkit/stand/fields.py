"""Reading values that come from outside, one field at a time.

Each reader takes a value of JSON and returns one of the program's, or raises ValueError with what
the value should have been, a clause.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, Final, TypeVar

from chartkit.errors import RequestError, either

T = TypeVar("T")

Reader = Callable[[Any], Any]

LONGEST_WORD: Final = 200
"""Characters of a name that comes from outside."""

_FINEST: Final = 1000


def read(data: object, readers: Mapping[str, Reader]) -> dict[str, Any]:
    """Read an object of JSON by a reader for each field it may have.

    Parameters
    ----------
    data : object
        What was sent. A field that is null counts as left out.
    readers : mapping

    Raises
    ------
    RequestError
        It is no object, it has a field that is not known, or a value is not what it should be.
    """
    if not isinstance(data, dict):
        raise RequestError("send a JSON object")
    found = {}
    for name, value in data.items():
        if name not in readers:
            shown = "".join(char if char.isprintable() else "?" for char in name[:40])
            raise RequestError(f"`{shown}` is not known; send {either(tuple(readers))}")
        if value is not None:
            try:
                found[name] = readers[name](value)
            except RequestError as error:
                raise RequestError(f"in `{name}`: {error}") from error
            except ValueError as error:
                raise RequestError(f"`{name}` should be {error}") from error
    return found


def word(value: object) -> str:
    """Read a name."""
    if not isinstance(value, str) or not 0 < len(value) <= LONGEST_WORD or not value.isprintable():
        raise ValueError(f"a text of 1 to {LONGEST_WORD} characters")
    return value


def flag(value: object) -> bool:
    """Read true or false."""
    if not isinstance(value, bool):
        raise ValueError("true or false")  # noqa: TRY004 (all readers raise alike)
    return value


def whole(least: int, most: int) -> Callable[[object], int]:
    """Return a reader of whole numbers within bounds, both included."""

    def reader(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise ValueError(f"a whole number from {least} to {most}")
        return value

    return reader


def number(least: float, most: float) -> Callable[[object], Fraction]:
    """Return a reader of numbers within bounds, both included, to a thousandth."""

    def reader(value: object) -> Fraction:
        if (
            isinstance(value, bool)
            or not isinstance(value, int | float)
            or not least <= value <= most  # false of what is no number
        ):
            raise ValueError(f"a number from {least:g} to {most:g}")
        return Fraction(value).limit_denominator(_FINEST)

    return reader


def one_of(known: Mapping[str, T]) -> Callable[[object], T]:
    """Return a reader of names, which gives what each stands for."""

    def reader(value: object) -> T:
        if not isinstance(value, str) or value not in known:
            raise ValueError(either(tuple(known)))
        return known[value]

    return reader


def several(one: Callable[[object], T], most: int) -> Callable[[object], tuple[T, ...]]:
    """Return a reader of lists of 1 to so many values."""

    def reader(value: object) -> tuple[T, ...]:
        if not isinstance(value, list) or not 0 < len(value) <= most:
            raise ValueError(f"a list of 1 to {most}")
        return tuple(map(one, value))

    return reader


def same(names: tuple[str, ...]) -> dict[str, str]:
    """Return names that stand for themselves."""
    return {name: name for name in names}
