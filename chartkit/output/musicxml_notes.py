"""Written events as MusicXML notes, on the staff and again on the tablature under it."""

from __future__ import annotations

from fractions import Fraction
from typing import Final
from xml.etree import ElementTree as ET

from chartkit.notate import Event, Sheet
from chartkit.output.markup import add
from chartkit.theory.pitch import Pitch

TYPES: Final = {
    Fraction(4): "whole",
    Fraction(2): "half",
    Fraction(1): "quarter",
    Fraction(1, 2): "eighth",
    Fraction(1, 4): "16th",
    Fraction(1, 8): "32nd",
    Fraction(1, 16): "64th",
}
"""The format's name of each note value, by its quarter notes."""

ACCIDENTALS: Final = {-1: "flat", 0: "natural", 1: "sharp"}

ON_STAFF: Final = ("below", "above")
ON_TAB: Final = ("above", "below")
"""The side of tuplets' brackets and of fingers: a tablature's stems stand above it."""

SLASH_LINE: Final = ("B", 4)
"""The middle line of a treble staff, where slashes stand."""


def staff_note(parent: ET.Element, event: Event, sheet: Sheet, divisions: int) -> None:
    """Append an event of the staff.

    Parameters
    ----------
    parent : Element
        The measure.
    event : Event
    sheet : Sheet
    divisions : int
        Of a quarter note.
    """
    note = add(parent, "note")
    _head(note, event)
    _time(note, event, divisions)
    add(note, "voice", 1)
    _written(note, event)
    if len(sheet.staves) > 1:
        add(note, "staff", 1)
    _beams(note, event)
    _notations(note, event, ON_STAFF)


def tab_note(parent: ET.Element, event: Event, sheet: Sheet, divisions: int) -> None:
    """Append an event of the tablature: string and fret.

    Alone, it shows the rhythm: stems, beams and rests. Under a staff, which shows it, it does not.
    """
    note = add(parent, "note")
    number = len(sheet.staves)
    if number > 1 and event.stop is None:
        note.set("print-object", "no")
    _head(note, event)
    _time(note, event, divisions)
    add(note, "voice", number)
    _value(note, event)
    if event.value.tuplet:
        _ratio(note, event.value.tuplet)
    if event.stop:
        add(note, "stem", "down" if number == 1 else "none")
    add(note, "staff", number)
    if number == 1:
        _beams(note, event)
        _notations(note, event, ON_TAB)
    elif event.stop:
        notations = add(note, "notations")
        _ties(notations, event, "tied")
        if event.tuplet_edge:
            hidden = {"bracket": "no", "show_number": "none"}
            add(notations, "tuplet", type=event.tuplet_edge, **hidden)
        technical = add(notations, "technical")
        add(technical, "string", event.stop.string)
        add(technical, "fret", event.stop.fret)


NOTES: Final = {"staff": staff_note, "tab": tab_note}
"""What appends an event to a staff of each kind."""


def _beams(note: ET.Element, event: Event) -> None:
    for number, beam in enumerate(event.beams, start=1):
        add(note, "beam", beam, number=number)


def _head(note: ET.Element, event: Event) -> None:
    if event.pitch:
        _pitch(note, event.pitch)
    elif event.kind in ("slash", "hit"):
        step, octave = SLASH_LINE
        place = add(note, "unpitched")
        add(place, "display-step", step)
        add(place, "display-octave", octave)
    else:
        rest = add(note, "rest")
        if event.kind == "bar rest":
            rest.set("measure", "yes")


def _pitch(note: ET.Element, pitch: Pitch) -> None:
    element = add(note, "pitch")
    add(element, "step", pitch.name.letter)
    if pitch.name.alter:
        add(element, "alter", pitch.name.alter)
    add(element, "octave", pitch.octave)


def _time(note: ET.Element, event: Event, divisions: int) -> None:
    add(note, "duration", int(event.value.length * divisions))
    _ties(note, event, "tie")


def _ties(parent: ET.Element, event: Event, tag: str) -> None:
    if event.tied_back:
        add(parent, tag, type="stop")
    if event.tied_on:
        add(parent, tag, type="start")


def _value(note: ET.Element, event: Event) -> None:
    if event.kind == "bar rest":
        return
    add(note, "type", TYPES[event.value.base])
    for _ in range(event.value.dots):
        add(note, "dot")


def _written(note: ET.Element, event: Event) -> None:
    """Append value, accidental, tuplet, stem and head, in the order that the format asks for."""
    _value(note, event)
    if event.accidental is not None:
        accidental = add(note, "accidental", ACCIDENTALS[event.accidental])
        if event.courtesy:
            accidental.set("parentheses", "yes")
    if event.value.tuplet:
        _ratio(note, event.value.tuplet)
    if event.kind == "slash":
        add(note, "stem", "none")
    elif event.kind == "hit":
        add(note, "stem", "up")
    if event.kind in ("slash", "hit"):
        add(note, "notehead", "slash")


def _ratio(note: ET.Element, tuplet: tuple[int, int]) -> None:
    element = add(note, "time-modification")
    add(element, "actual-notes", tuplet[0])
    add(element, "normal-notes", tuplet[1])


def _notations(note: ET.Element, event: Event, sides: tuple[str, str]) -> None:
    """Append ties, tuplet, fingering; `sides` are those of the bracket and of the finger."""
    brackets, fingers = sides
    element = ET.Element("notations")
    _ties(element, event, "tied")
    if event.tuplet_edge:
        add(element, "tuplet", type=event.tuplet_edge, placement=brackets)
    if event.stop:
        technical = add(element, "technical")
        if event.stop.finger and not event.tied_back:
            add(technical, "fingering", event.stop.finger, placement=fingers)
        add(technical, "string", event.stop.string)
        add(technical, "fret", event.stop.fret)
    if event.short:
        add(add(element, "articulations"), "strong-accent", type="up")
    if len(element):
        note.append(element)
