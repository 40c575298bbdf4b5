"""Where the notes of a line fall."""

from __future__ import annotations

from fractions import Fraction

from chartkit.errors import CannotPlay
from chartkit.harmony import Span


def onsets(span: Span, value: Fraction) -> tuple[Fraction, ...]:
    """Return the beats at which even notes fill a span.

    Parameters
    ----------
    span : Span
    value : Fraction
        Length of a note in quarter notes.

    Raises
    ------
    CannotPlay
        The span is not a whole number of such notes.
    """
    count = span.length / value
    if count.denominator != 1:
        raise CannotPlay(
            f"bar {span.bar.number}: a chord of {_quarters(span.length)} is not filled by notes of "
            f"{_quarters(value)}; choose another note value"
        )
    return tuple(span.start + index * value for index in range(count.numerator))


def _quarters(length: Fraction) -> str:
    """Return a length in words of a player.

    >>> _quarters(Fraction(3, 2)), _quarters(Fraction(1))
    ('1 1/2 quarter notes', '1 quarter note')
    """
    whole, rest = divmod(length, 1)
    number = " ".join(str(part) for part in (whole, rest) if part)
    return f"{number} quarter note{'s' if length > 1 else ''}"
