"""Note values, and how sounding lengths are written in them.

Conventions: lengths and times in quarter notes; a triplet is three in the time of two. A plain or
dotted value starts on a sixteenth of the bar. A triplet starts on a sixth of a quarter note, and
either lies within one beat or stands on a multiple of its own length, as the parts of a triplet
over several beats do.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from chartkit.chart import Meter
from chartkit.phrase.phrase import PhraseNote
from chartkit.theory.pitch import Pitch

_PLAIN: Final = {
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "sixteenth": Fraction(1, 4),
}

VALUES: Final[dict[str, Fraction]] = {
    **_PLAIN,
    **{f"dotted {name}": length * 3 / 2 for name, length in _PLAIN.items() if name[0] != "s"},
    **{f"triplet {name}": length * 2 / 3 for name, length in _PLAIN.items() if name[0] != "w"},
}
"""Every value that can be written, by its name; no two have one length."""

LETTERS: Final[dict[str, str]] = {
    name: f"t{last[0]}" if kind == "triplet" else f"{last[0]}{'.' * (kind == 'dotted')}"
    for name in VALUES
    for *_, kind, last in [("", *name.split())]
}
"""The letters that each name is written with: ``e`` an eighth, ``q.`` dotted, ``te`` a triplet."""

LETTERS_OF: Final = {length: LETTERS[name] for name, length in VALUES.items()}
"""The letters of a length."""

_READ: Final = {
    **VALUES,
    **{LETTERS[name]: length for name, length in VALUES.items()},
    "triplet": VALUES["triplet eighth"],
}

SIXTEENTH: Final = Fraction(1, 4)
SIXTH: Final = Fraction(1, 6)
_CUTS: Final = tuple(map(Fraction, ("4", "2", "1", "1/2", "1/3", "1/4", "1/6")))
"""Where a length may be cut, the plainest points first."""


@dataclass(frozen=True, slots=True)
class Heard:
    """A note as it sounds, or a rest where there is no pitch; in quarter notes."""

    start: Fraction
    length: Fraction
    pitch: Pitch | None

    @property
    def end(self) -> Fraction:
        """Where it stops."""
        return self.start + self.length


def read_value(text: str) -> Fraction:
    """Read a note value in letters or words; KeyError on anything else.

    >>> str(read_value("te")), str(read_value("Dotted quarters")), str(read_value("halves"))
    ('1/3', '3/2', '2')
    """
    words = " ".join(text.lower().split())
    return _READ[words] if words in _READ else _READ[_singular(words)]


def _singular(words: str) -> str:
    return words.replace("halves", "half").removesuffix("s")


def is_triplet(length: Fraction) -> bool:
    """Tell whether a length (or a point in time) is one of triplets only.

    >>> is_triplet(Fraction(1, 3)), is_triplet(Fraction(3, 4))
    (True, False)
    """
    return length.denominator % 3 == 0


def can_stand(start: Fraction, length: Fraction) -> bool:
    """Tell whether one value of this length may start there; `start` counts from its bar's first.

    >>> can_stand(Fraction(0), Fraction(3, 2)), can_stand(Fraction(1, 3), Fraction(1))
    (True, False)
    """
    if length not in LETTERS_OF:
        return False
    if not is_triplet(length):
        return start % SIXTEENTH == 0
    within = start % 1 + length <= 1
    return start % SIXTH == 0 and (within or start % length == 0)


def heard(notes: Iterable[PhraseNote]) -> tuple[Heard, ...]:
    """Return notes and rests as they are heard: tied notes joined, and rests side by side too."""
    found: list[Heard] = []
    tied = False
    for note in notes:
        joins = tied or (found and note.pitch is None and found[-1].pitch is None)
        if joins:
            last = found[-1]
            found[-1] = Heard(last.start, last.length + note.length, last.pitch)
        else:
            found.append(Heard(note.start, note.length, note.pitch))
        tied = note.tie
    return tuple(found)


def as_written(
    tones: Iterable[Heard], meter: Meter, until: Fraction | None = None
) -> tuple[PhraseNote, ...]:
    """Write what is heard in note values, tied over bar lines and wherever one value will not do.

    Parameters
    ----------
    tones : iterable of Heard
        In order of time, without overlaps; every start and end lies on a sixteenth or a sixth of
        a quarter note, but never on both within one eighth. Gaps become rests.
    meter : Meter
    until : Fraction, optional
        Rests fill up to here; to the end of the last bar by default.

    Raises
    ------
    ValueError
        A time lies on neither grid, or an eighth has times on both.

    Examples
    --------
    >>> c = Pitch.parse("C4")
    >>> [str(n.length) for n in as_written([Heard(Fraction(3), Fraction(2), c)], Meter(4))]
    ['1', '1', '2', '1']
    """
    found: list[PhraseNote] = []
    end: Fraction | None = None
    for tone in tones:
        if end is not None and tone.start > end:
            found += _cut(Heard(end, tone.start - end, None), meter)
        found += _cut(tone, meter)
        end = tone.end
    if end is not None:
        last = -(-end // meter.length) * meter.length if until is None else until
        if last > end:
            found += _cut(Heard(end, last - end, None), meter)
    return tuple(found)


def _cut(tone: Heard, meter: Meter) -> Iterator[PhraseNote]:
    """Yield a tone as written values, all but the last tied on."""
    bounds = [*_bounds(tone.start, tone.end, meter), tone.end]
    last = len(bounds) - 2
    for n, start in enumerate(bounds[:-1]):
        length = bounds[n + 1] - start
        yield PhraseNote(start, length, tone.pitch, tie=tone.pitch is not None and n < last)


def _bounds(start: Fraction, end: Fraction, meter: Meter) -> Iterator[Fraction]:
    """Yield where each value of a stretch begins."""
    bar_end = (start // meter.length + 1) * meter.length
    if end > bar_end:
        yield from _bounds(start, bar_end, meter)
        yield from _bounds(bar_end, end, meter)
        return
    first = bar_end - meter.length
    if can_stand(start - first, end - start):
        yield start
        return
    cut = next((c for size in _CUTS for c in _points(start, end, first, size)), None)
    if cut is None:
        raise ValueError(f"{start} to {end} cannot be written in note values")
    yield from _bounds(start, cut, meter)
    yield from _bounds(cut, end, meter)


def _points(start: Fraction, end: Fraction, first: Fraction, size: Fraction) -> Iterator[Fraction]:
    """Yield the last point of a spacing strictly within a stretch, if there is one."""
    point = first + (end - first - SIXTH / 100) // size * size
    if start < point < end:
        yield point
