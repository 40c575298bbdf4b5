"""What a MusicXML measure says of its staves: divisions, signatures, clefs, strings, repeats."""

from __future__ import annotations

from typing import Final
from xml.etree import ElementTree as ET

from chartkit.chart import Meter
from chartkit.guitar.fretboard import Tuning
from chartkit.notate import Measure, Sheet
from chartkit.output.markup import add
from chartkit.theory.key import Key

CLEFS: Final = {"treble": ("G", 2, 0), "treble 8": ("G", 2, -1), "bass": ("F", 4, 0)}
"""Sign, line and octaves of each clef."""

STEPS: Final = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
"""Steps of the staff in an interval of so many semitones."""

SHARP_NAMES = (
    ("C", 0),
    ("C", 1),
    ("D", 0),
    ("D", 1),
    ("E", 0),
    ("F", 0),
    ("F", 1),
    ("G", 0),
    ("G", 1),
    ("A", 0),
    ("A", 1),
    ("B", 0),
)
"""Step and alteration of each pitch class, for open strings."""


def attributes(
    parent: ET.Element, sheet: Sheet, before: Measure | None, measure: Measure, divisions: int
) -> None:
    """Append ``<attributes>`` where a measure sets or changes any.

    Parameters
    ----------
    parent : Element
        The measure.
    sheet : Sheet
    before : Measure or None
        The measure before; None at the first, which sets everything.
    measure : Measure
    divisions : int
        Of a quarter note.
    """
    element = ET.Element("attributes")
    if before is None:
        add(element, "divisions", divisions)
    if measure.key:
        _key(element, measure.key)
    if measure.meter:
        _time(element, measure.meter, len(sheet.staves))
    if before is None:
        _staves(element, sheet)
    _measure_repeat(element, before, measure)
    if len(element):
        parent.append(element)


def _key(element: ET.Element, key: Key) -> None:
    signature = add(element, "key")
    add(signature, "fifths", key.fifths)
    add(signature, "mode", key.mode)


def _time(element: ET.Element, meter: Meter, staves: int) -> None:
    """Append the time signature, which is printed on the first staff alone."""
    for staff in range(1, staves + 1):
        time = add(element, "time", number=staff)
        if staff > 1:
            time.set("print-object", "no")
        beats, beat_type = meter.signature
        add(time, "beats", beats)
        add(time, "beat-type", beat_type)


def _staves(element: ET.Element, sheet: Sheet) -> None:
    number = len(sheet.staves)
    if number > 1:
        add(element, "staves", number)
        add(element, "part-symbol", "none")
    if sheet.clef:
        sign, line, octave = CLEFS[sheet.clef]
        clef = add(element, "clef", number=1)
        add(clef, "sign", sign)
        add(clef, "line", line)
        if octave:
            add(clef, "clef-octave-change", octave)
    if sheet.tuning:
        tab = add(element, "clef", number=number)
        add(tab, "sign", "TAB")
        add(tab, "line", 5)
        _strings(element, sheet.tuning, number)
    if sheet.transposition:
        _transpose(element, sheet.transposition)


def _transpose(element: ET.Element, semitones: int) -> None:
    """Append how far a part sounds below what is written: steps, semitones and whole octaves."""
    octaves, rest = divmod(semitones, 12)
    transpose = add(element, "transpose")
    add(transpose, "diatonic", -STEPS[rest])
    add(transpose, "chromatic", -rest)
    if octaves:
        add(transpose, "octave-change", -octaves)


def _strings(element: ET.Element, tuning: Tuning, number: int) -> None:
    """Append the tablature's lines, the lowest string first."""
    details = add(element, "staff-details", number=number)
    add(details, "staff-lines", len(tuning.open_strings))
    for line, midi in enumerate(tuning.open_strings, start=1):
        string = add(details, "staff-tuning", line=line)
        step, alter = SHARP_NAMES[midi % 12]
        add(string, "tuning-step", step)
        if alter:
            add(string, "tuning-alter", alter)
        add(string, "tuning-octave", midi // 12 - 1)


def _measure_repeat(element: ET.Element, before: Measure | None, measure: Measure) -> None:
    """Start and stop the signs that repeat one measure or two."""
    was, now = (abs(before.simile) if before else 0), abs(measure.simile)
    if was == now:
        return
    style = add(element, "measure-style")
    if now:
        add(style, "measure-repeat", now, type="start", slashes=now)
    else:
        add(style, "measure-repeat", type="stop")
