"""A sheet as MusicXML 4.0, the open interchange format of notation programs.

Conventions: partwise, one part; a tablature is its second staff, with the same notes again. Pitches
are as written, and ``<transpose>`` tells how far from them a part sounds; a clef with an 8 below
tells of its octave by itself. Times become whole divisions here, the only place
that counts them. The same sheet gives the same bytes. Source: the MusicXML 4.0 schema and its
documentation (W3C Community Group, 2021).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from fractions import Fraction
from math import lcm
from typing import Final
from xml.etree import ElementTree as ET

from chartkit.notate import Event, Measure, Sheet
from chartkit.output.markup import add, written
from chartkit.output.musicxml_attributes import attributes
from chartkit.output.musicxml_harmony import harmony
from chartkit.output.musicxml_notes import NOTES
from chartkit.output.musicxml_signs import (
    bar_end,
    bar_start,
    left_barline,
    right_barline,
    words_over,
)

HEAD: Final = '<?xml version="1.0" encoding="UTF-8"?>\n'


def encode(sheet: Sheet) -> bytes:
    """Return a sheet as the bytes of a MusicXML file.

    Parameters
    ----------
    sheet : Sheet

    Returns
    -------
    bytes
        UTF-8; valid by the MusicXML 4.0 schema.
    """
    root = tree(sheet)
    ET.indent(root)
    return (HEAD + written(root) + "\n").encode()


def tree(sheet: Sheet) -> ET.Element:
    """Return a sheet as a ``<score-partwise>`` element."""
    root = ET.Element("score-partwise", version="4.0")
    _heading(root, sheet)
    part = add(root, "part", id="P1")
    divisions = _divisions(sheet.measures)
    names = bar_ids(sheet.measures)
    befores = (None, *sheet.measures[:-1])
    for name, before, measure in zip(names, befores, sheet.measures, strict=True):
        element = add(part, "measure", id=name, number=measure.id.number)
        if measure.id.number == 0:
            element.set("implicit", "yes")
        _measure(element, sheet, before, measure, divisions)
    return root


def bar_ids(measures: Iterable[Measure]) -> list[str]:
    """Return a name for each measure that is its own: ``bar-7``, and ``bar-7-2`` the next time."""
    seen: Counter[int] = Counter()
    names = []
    for measure in measures:
        number = measure.id.number
        seen[number] += 1
        names.append(f"bar-{number}" + (f"-{seen[number]}" if seen[number] > 1 else ""))
    return names


def _heading(root: ET.Element, sheet: Sheet) -> None:
    if sheet.title:
        add(add(root, "work"), "work-title", sheet.title)
    if sheet.subtitle:
        add(root, "movement-title", sheet.subtitle)
    identification = add(root, "identification")
    if sheet.composer:
        add(identification, "creator", sheet.composer, type="composer")
    add(add(identification, "encoding"), "software", "chartkit")
    if sheet.notes:
        fields = add(identification, "miscellaneous")
        for note in sheet.notes:
            add(fields, "miscellaneous-field", note, name="note")
    part = add(add(root, "part-list"), "score-part", id="P1")
    add(part, "part-name", sheet.instrument.capitalize() or "Chart", print_object="no")


def _divisions(measures: Iterable[Measure]) -> int:
    """Return the least division of a quarter note that every time is a whole number of."""
    times = (
        time
        for measure in measures
        for time in (
            measure.length,
            *(t for event in measure.events for t in (event.start, event.value.length)),
            *(symbol.start for symbol in measure.chords),
            *(words.start for words in measure.words),
        )
    )
    return lcm(*(Fraction(time).denominator for time in times))


def _measure(
    element: ET.Element, sheet: Sheet, before: Measure | None, measure: Measure, divisions: int
) -> None:
    """Append what one measure holds, in order of time."""
    if before and measure.new_system:
        add(element, "print", new_system="yes")
    attributes(element, sheet, before, measure, divisions)
    left_barline(element, measure)
    bar_start(element, sheet, before, measure)
    for number, kind in enumerate(sheet.staves, start=1):
        if number > 1:
            add(add(element, "backup"), "duration", int(measure.length * divisions))
        for event in measure.events:
            if number == 1:
                _symbols_over(element, measure, event, divisions)
            NOTES[kind](element, event, sheet, divisions)
    bar_end(element, measure)
    right_barline(element, measure)


def _symbols_over(element: ET.Element, measure: Measure, event: Event, divisions: int) -> None:
    """Append the words and chord symbols that start while an event lasts."""
    for words in measure.words:
        if event.start <= words.start < event.end:
            words_over(element, words.text, offset=int((words.start - event.start) * divisions))
    for symbol in measure.chords:
        if event.start <= symbol.start < event.end:
            harmony(element, symbol, int((symbol.start - event.start) * divisions))
