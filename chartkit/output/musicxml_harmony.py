"""Chords as MusicXML ``<harmony>``: a kind from the format's list, and what departs from it.

Conventions: a kind is a chord that the format names; every other chord is the nearest of them with
degrees added, altered or subtracted. An added degree is counted as the format has it: from the
major scale, except the seventh, which is flat unless altered. The kind's text is the symbol as
printed, so that no reader has to make it up again. Source: the documentation of ``kind-value`` and
``degree`` in MusicXML 4.0 (W3C Community Group, 2021).
"""

from __future__ import annotations

from typing import Final
from xml.etree import ElementTree as ET

from chartkit.notate import ChordSymbol
from chartkit.notate.symbols import NO_CHORD, quality_text
from chartkit.output.markup import add
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree, NoteName, degrees

KINDS: Final = {
    name: frozenset(degrees(row))
    for name, row in {
        "major": "1 3 5",
        "minor": "1 b3 5",
        "augmented": "1 3 #5",
        "diminished": "1 b3 b5",
        "power": "1 5",
        "suspended-second": "1 2 5",
        "suspended-fourth": "1 4 5",
        "dominant": "1 3 5 b7",
        "augmented-seventh": "1 3 #5 b7",
        "major-seventh": "1 3 5 7",
        "minor-seventh": "1 b3 5 b7",
        "major-minor": "1 b3 5 7",
        "half-diminished": "1 b3 b5 b7",
        "diminished-seventh": "1 b3 b5 bb7",
        "major-sixth": "1 3 5 6",
        "minor-sixth": "1 b3 5 6",
    }.items()
}

FLAT_SEVENTH: Final = Degree(7, -1)


def nearest_kind(tones: frozenset[Degree]) -> str:
    """Return the kind that shares most with a chord and has least beyond it.

    >>> nearest_kind(frozenset(degrees("1 3 5 b7 b9")))
    'dominant'
    """
    return min(KINDS, key=lambda kind: (len(tones ^ KINDS[kind]), -len(KINDS[kind])))


def harmony(parent: ET.Element, symbol: ChordSymbol, offset: int) -> None:
    """Append a chord symbol.

    Parameters
    ----------
    parent : Element
        A measure.
    symbol : ChordSymbol
    offset : int
        Divisions from the point that the measure has reached.
    """
    element = add(parent, "harmony", placement="above", print_frame="no")
    if symbol.chord is None:
        _no_chord(element, symbol)
    else:
        _chord(element, symbol.chord, symbol)
    if offset:
        add(element, "offset", offset)
    add(element, "staff", 1)


def _no_chord(element: ET.Element, symbol: ChordSymbol) -> None:
    root = add(element, "root")
    add(root, "root-step", "C").set("text", "")
    add(element, "kind", "none").set("text", _bracketed(NO_CHORD, symbol))


def _chord(element: ET.Element, chord: Chord, symbol: ChordSymbol) -> None:
    tones = frozenset(chord.degrees)
    kind = nearest_kind(tones)
    _note(add(element, "root"), "root", chord.root, "(" if symbol.opens else "")
    closing = ")" if symbol.closes else ""
    printed = quality_text(chord) + ("" if chord.bass else closing)
    add(element, "kind", kind).set("text", printed)
    if chord.bass:
        _note(add(element, "bass"), "bass", chord.bass, "")
    _departures(element, tones, KINDS[kind])


def _note(element: ET.Element, name: str, note: NoteName, before: str) -> None:
    step = add(element, f"{name}-step", note.letter)
    if before:
        step.set("text", before + note.letter)
    if note.alter:
        add(element, f"{name}-alter", note.alter)


def _departures(element: ET.Element, tones: frozenset[Degree], kind: frozenset[Degree]) -> None:
    """Append what a chord has beyond its kind, and what it lacks."""
    extra, missing = tones - kind, kind - tones
    for degree in sorted(missing, key=_order):
        others = [d for d in extra if d.number == degree.number]
        if others:
            altered = min(others, key=_order)
            extra -= {altered}
            _degree(element, degree.number, altered.alter - degree.alter, "alter")
        else:
            _degree(element, degree.number, 0, "subtract")
    for degree in sorted(extra, key=_order):
        usual = FLAT_SEVENTH.alter if degree.number == FLAT_SEVENTH.number else 0
        _degree(element, degree.number, degree.alter - usual, "add")


def _degree(element: ET.Element, number: int, alter: int, how: str) -> None:
    degree = add(element, "degree", print_object="no")
    add(degree, "degree-value", number)
    add(degree, "degree-alter", alter)
    add(degree, "degree-type", how)


def _order(degree: Degree) -> tuple[int, int]:
    return degree.number, degree.alter


def _bracketed(text: str, symbol: ChordSymbol) -> str:
    return "(" * symbol.opens + text + ")" * symbol.closes
