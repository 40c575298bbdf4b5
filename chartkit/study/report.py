"""The harmony of some changes, all of it at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from chartkit.errors import CannotPlay
from chartkit.harmony import Span
from chartkit.study.areas import Area, areas, blues_keys, key_by_span
from chartkit.study.cadences import Cadence, cadences, heard
from chartkit.study.changes import Change, changes
from chartkit.study.functions import View
from chartkit.study.numerals import Numeral, numeral, respelled
from chartkit.study.standing import standings, surroundings
from chartkit.theory.key import Key


@dataclass(frozen=True, slots=True)
class Report:
    """What the changes are.

    Parameters
    ----------
    spans : tuple of Span
        The other parts name them by their indexes.
    keys : tuple of Key
        The key of the area that each span lies in.
    numerals : tuple of Numeral or None
        Of each span, against that key; None for N.C.
    areas : tuple of Area
    cadences : tuple of Cadence
    changes : tuple of Change
    """

    spans: tuple[Span, ...]
    keys: tuple[Key, ...]
    numerals: tuple[Numeral | None, ...]
    areas: tuple[Area, ...]
    cadences: tuple[Cadence, ...]
    changes: tuple[Change, ...]


def report(spans: Sequence[Span], *, loop: bool) -> Report:
    """Return what some changes are.

    Parameters
    ----------
    spans : sequence of Span
    loop : bool
        The end leads into the beginning.

    Raises
    ------
    CannotPlay
        There is no chord.
    """
    chords = standings(spans, loop=loop)
    if not chords:
        raise CannotPlay("there is no chord here to look at")
    keys, blues = key_by_span(spans, loop=loop), blues_keys(spans, chords)
    in_keys = [keys[one.spans[0]] for one in chords]
    found = [
        numeral(View(around, key, key in blues and key == spans[one.spans[0]].key))
        for one, around, key in zip(chords, surroundings(chords, loop=loop), in_keys, strict=True)
    ]
    by_span = {i: each for one, each in zip(chords, found, strict=True) for i in one.spans}
    return Report(
        spans=tuple(spans),
        keys=keys,
        numerals=tuple(
            respelled(by_span[index], span.chord) if span.chord else None
            for index, span in enumerate(spans)
        ),
        areas=areas(keys, loop=loop),
        cadences=cadences(spans, heard(chords, in_keys, found), loop=loop),
        changes=changes(spans, loop=loop),
    )
