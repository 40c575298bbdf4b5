"""The changes in context: each chord with what follows it, its scale and its key.

Conventions: a span never crosses a bar line. At the end of a loop the next chord is the first
one again; a pickup is played once, so it is never what comes round. Chord scales follow the key and
where the chord goes, over a break if one lies between; the table and its source stand in
`chartkit.theory.chord_scale`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from itertools import islice
from operator import eq
from typing import Literal

from chartkit.chart import Meter
from chartkit.form import BarId, Form, PlayedBar, Sounding
from chartkit.theory.chord import Chord
from chartkit.theory.chord_scale import Setting, chord_scale, kind, same_function
from chartkit.theory.key import Key
from chartkit.theory.scale import Scale


@dataclass(frozen=True, slots=True)
class Span:
    """One chord in one bar.

    Parameters
    ----------
    start, length : Fraction
        In quarter notes from the form's first bar.
    chord : Chord or None
        None is N.C.
    next_chord : Chord or None
        The next chord that differs in root, quality or bass (round the seam in a loop); None where
        the music ends, where N.C. comes next, or where there is only one chord.
    scale : Scale or None
        The chord scale; None for N.C.
    new : bool
        Root, quality or bass differ from the span before (round the seam in a loop).
    bar_start, meter
        The bar's first beat and its meter.
    ends : str
        "section" or "chorus" on the spans of the last bar of each, else "".
    """

    start: Fraction
    length: Fraction
    chord: Chord | None
    next_chord: Chord | None
    scale: Scale | None
    key: Key
    bar: BarId
    bar_start: Fraction
    meter: Meter
    feel: str
    new: bool = True
    pushed: bool = False
    stopped: bool = False
    ends: Literal["", "section", "chorus"] = ""


def spans(form: Form, *, loop: bool) -> tuple[Span, ...]:
    """Put the chords of a form in context.

    Parameters
    ----------
    form : Form
    loop : bool
        The end leads into the beginning.

    Returns
    -------
    tuple of Span
        In order of time, a pickup's first, without gaps.
    """
    places = [(bar, sounding) for bar in form.bars for sounding in bar.changes]
    chords = tuple(sounding.chord for _, sounding in places)
    seam = sum(bar.start < 0 for bar, _ in places) if loop else None
    blues = {bar.key: _is_blues(places, bar.key) for bar in form.bars}
    return tuple(
        Span(
            start=bar.start + sounding.start,
            length=sounding.length,
            chord=sounding.chord,
            next_chord=_next(_after(chords, index, seam), partial(eq, sounding.chord)),
            scale=_scale(
                sounding.chord, _after(chords, index, seam), bar.key, blues=blues[bar.key]
            ),
            key=bar.key,
            bar=bar.source,
            bar_start=bar.start,
            meter=bar.meter,
            feel=bar.feel,
            new=_is_new(chords, index, seam),
            pushed=sounding.pushed,
            stopped=sounding.stopped,
            ends=_ends(bar, form),
        )
        for index, (bar, sounding) in enumerate(places)
    )


def _after(
    chords: tuple[Chord | None, ...], index: int, seam: int | None
) -> Iterator[Chord | None]:
    """Go through the chords that follow, once; a loop goes on from its seam (an index)."""
    yield from islice(chords, index + 1, None)
    if seam is not None:
        yield from islice(chords, seam, index)


def _next(
    following: Iterator[Chord | None], goes_on: Callable[[Chord | None], bool]
) -> Chord | None:
    """Return the first chord with which the present one no longer goes on."""
    return next((chord for chord in following if not goes_on(chord)), None)


def _scale(
    chord: Chord | None, following: Iterator[Chord | None], key: Key, *, blues: bool
) -> Scale | None:
    if chord is None:
        return None
    goal = _next(following, lambda other: other is None or same_function(chord, other))
    return chord_scale(Setting(chord, key, goal, blues))


def _is_new(chords: tuple[Chord | None, ...], index: int, seam: int | None) -> bool:
    before = len(chords) - 1 if index == seam else index - 1
    return before < 0 or chords[index] != chords[before]


def _ends(bar: PlayedBar, form: Form) -> Literal["", "section", "chorus"]:
    if bar is form.bars[-1]:
        return "chorus"
    return "section" if bar.ends_section else ""


def _is_blues(places: Iterable[tuple[PlayedBar, Sounding]], key: Key) -> bool:
    """Tell whether the first chord on a key's own tonic is a dominant seventh."""
    chords = (sounding.chord for bar, sounding in places if bar.key == key)
    home = key.tonic.pitch_class
    tonics = (chord for chord in chords if chord and chord.root.pitch_class == home)
    first = next(tonics, None)
    return first is not None and kind(first) == "dominant"
