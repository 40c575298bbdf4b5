"""Cadences: where the changes come to rest, or set out to.

Conventions: most cadences are heard on any tonic, so that one to the second degree counts; the
others belong to the key of the area alone (`chartkit.study.cadence_rows` has them all). A cadence
that lies within a longer one is a part of it and not told again; turnarounds are told besides, and
so are half cadences: sections that end on the V of their key, but for the last one, for every
chorus leads back by its turnaround. In a loop a cadence may go over the seam.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from operator import itemgetter
from typing import Final, NamedTuple

from chartkit.harmony import Span
from chartkit.study.cadence_rows import HALF, HALF_SORTS, ROWS, TURNAROUND, Part, Row, Sort
from chartkit.study.numerals import Numeral
from chartkit.study.standing import Standing
from chartkit.theory.chord import Chord
from chartkit.theory.chord_scale import kind
from chartkit.theory.key import Key, Mode

FIFTH: Final = 7
"""Semitones from a tonic up to its V."""


@dataclass(frozen=True, slots=True)
class Cadence:
    """A cadence where it stands.

    Parameters
    ----------
    name : str
        ``ii-V-I``, ``turnaround``, ...
    key : Key
        The tonic it comes to, or would come to.
    chords : tuple of Chord
    spans : tuple of int
        Indexes in order of time; over the seam of a loop they start again from the front. Of a
        chord of arrival only its first bar counts, of the tonic before a turnaround its last.
    """

    name: str
    key: Key
    chords: tuple[Chord, ...]
    spans: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Heard:
    """A standing chord as the search hears it: with the key of its area and its sort."""

    standing: Standing
    key: Key
    sort: Sort


def heard(
    chords: Sequence[Standing], keys: Sequence[Key], numerals: Sequence[Numeral]
) -> tuple[Heard, ...]:
    """Put standing chords together with their keys and numerals, one each."""
    return tuple(
        Heard(one, key, _sort(one.chord, found))
        for one, key, found in zip(chords, keys, numerals, strict=True)
    )


def cadences(spans: Sequence[Span], music: Sequence[Heard], *, loop: bool) -> tuple[Cadence, ...]:
    """Return every cadence, in order of its first chord.

    Parameters
    ----------
    spans : sequence of Span
    music : sequence of Heard
        The standing chords of the spans.
    loop : bool
        The end leads into the beginning.
    """
    matches = tuple(_matches(music, loop=loop))
    at: defaultdict[int, list[_Match]] = defaultdict(list)
    for match in matches:
        for place in match.places:
            at[place].append(match)
    told = (one for one in matches if not any(_is_part(one, o) for o in at[one.places[0]]))
    made = [(one.places[0], _cadence(spans, music, one)) for one in told]
    found = sorted([*made, *_halves(spans, music)], key=itemgetter(0))
    return tuple(one for _, one in found if one)


def _halves(spans: Sequence[Span], music: Sequence[Heard]) -> Iterator[tuple[int, Cadence]]:
    """Yield each half cadence, the chord before its V included, with the place of its first one."""
    for place, one in enumerate(music):
        ended = [index for index in one.standing.spans if _ends_section(spans, index)]
        up = (one.standing.chord.root.pitch_class - one.key.tonic.pitch_class) % 12
        if not ended or up != FIFTH or one.sort not in HALF_SORTS:
            continue
        own = [index for index in one.standing.spans if index <= ended[0]]
        before = music[place - 1].standing if place else None
        led = _counting(spans, before.spans, "last bar") if before else ()
        chords = (*([before.chord] if before else ()), one.standing.chord)
        yield max(place - 1, 0), Cadence(HALF, one.key, chords, (*led, *own))


def _ends_section(spans: Sequence[Span], index: int) -> bool:
    """Tell whether a span is the last one of a section that is not the last."""
    following = spans[index + 1].bar_start if index + 1 < len(spans) else None
    return spans[index].ends == "section" and following != spans[index].bar_start


class _Match(NamedTuple):
    """A row where it fits: the places of its chords and its tonic."""

    row: Row
    places: tuple[int, ...]
    key: Key


def _matches(music: Sequence[Heard], *, loop: bool) -> Iterator[_Match]:
    for first, row in product(range(len(music)), ROWS):
        places = _places(len(music), first, len(row.slots), loop=loop)
        for key in _tonics(row, [music[place] for place in places]):
            yield _Match(row, places, key)


def _is_part(one: _Match, other: _Match) -> bool:
    besides = (one.row.name == TURNAROUND) != (other.row.name == TURNAROUND)
    return not besides and set(one.places) < set(other.places)


def _places(count: int, first: int, length: int, *, loop: bool) -> tuple[int, ...]:
    """Return the places of so many chords from a first one; empty where there are not as many."""
    if length > count or (first + length > count and not loop):
        return ()
    return tuple(place % count for place in range(first, first + length))


def _tonics(row: Row, chords: Sequence[Heard]) -> Iterator[Key]:
    """Yield every tonic above which the chords are those of a row."""
    if not chords:
        return
    root = chords[0].standing.chord.root.pitch_class
    for step in sorted(row.slots[0].steps):
        tonic = (root - step) % 12
        if _is_at_home(row, chords, tonic) and _fits(row, chords, tonic):
            yield _key(row, chords, tonic)


def _is_at_home(row: Row, chords: Sequence[Heard], tonic: int) -> bool:
    """Tell whether a row may be heard on a tonic: a row at home needs all its chords there."""
    return not row.at_home or all(
        one.key == chords[0].key and one.key.tonic.pitch_class == tonic for one in chords
    )


def _fits(row: Row, chords: Sequence[Heard], tonic: int) -> bool:
    return all(
        (one.standing.chord.root.pitch_class - tonic) % 12 in slot.steps and one.sort in slot.sorts
        for slot, one in zip(row.slots, chords, strict=True)
    )


def _key(row: Row, chords: Sequence[Heard], tonic: int) -> Key:
    if row.at_home:
        own = chords[0].key
        return Key(own.tonic, row.mode or own.mode)
    by_ii: Mode = "minor" if chords[0].sort == "half-diminished" else "major"
    return Key.written(tonic, row.mode or by_ii)


def _cadence(spans: Sequence[Span], music: Sequence[Heard], match: _Match) -> Cadence | None:
    """Return the cadence of a match; None where it lasts too long to be one."""
    parts = [music[place].standing for place in match.places]
    indexes = tuple(
        index
        for slot, one in zip(match.row.slots, parts, strict=True)
        for index in _counting(spans, one.spans, slot.part)
    )
    bars = sum((spans[i].length / spans[i].meter.length for i in indexes), Fraction(0))
    if match.row.longest is not None and bars > match.row.longest:
        return None
    return Cadence(match.row.name, match.key, tuple(one.chord for one in parts), indexes)


def _counting(spans: Sequence[Span], indexes: Sequence[int], part: Part) -> Sequence[int]:
    """Return the indexes of a chord's spans that lie in the bar that counts."""
    if part == "whole":
        return indexes
    bar = spans[indexes[0 if part == "first bar" else -1]].bar_start
    return [index for index in indexes if spans[index].bar_start == bar]


def _sort(chord: Chord, found: Numeral) -> Sort:
    own = kind(chord)
    if found.role == "blues":
        return "blues"
    return "triad" if own in ("major", "augmented") and chord.seventh is None else own
