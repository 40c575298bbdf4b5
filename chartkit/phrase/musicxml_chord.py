"""A MusicXML ``<harmony>`` as a chord.

Conventions: its kind and degrees say what it is; where they say no chord that has a symbol here,
the symbol printed with it does. Source: the documentation of ``kind-value`` and ``degree`` in
MusicXML 4.0 (W3C Community Group, 2021).
"""

from __future__ import annotations

from typing import Final
from xml.etree import ElementTree as ET

from chartkit.errors import ChordError
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree, NoteName, degrees
from chartkit.theory.symbol import read_symbol, write_symbol

KINDS: Final = {
    name: degrees(row)
    for name, row in {
        "major": "1 3 5",
        "minor": "1 b3 5",
        "augmented": "1 3 #5",
        "diminished": "1 b3 b5",
        "dominant": "1 3 5 b7",
        "major-seventh": "1 3 5 7",
        "minor-seventh": "1 b3 5 b7",
        "diminished-seventh": "1 b3 b5 bb7",
        "augmented-seventh": "1 3 #5 b7",
        "half-diminished": "1 b3 b5 b7",
        "major-minor": "1 b3 5 7",
        "major-sixth": "1 3 5 6",
        "minor-sixth": "1 b3 5 6",
        "dominant-ninth": "1 3 5 b7 9",
        "major-ninth": "1 3 5 7 9",
        "minor-ninth": "1 b3 5 b7 9",
        "dominant-11th": "1 3 5 b7 9 11",
        "major-11th": "1 3 5 7 9 11",
        "minor-11th": "1 b3 5 b7 9 11",
        "dominant-13th": "1 3 5 b7 9 13",
        "major-13th": "1 3 5 7 9 13",
        "minor-13th": "1 b3 5 b7 9 13",
        "suspended-second": "1 2 5",
        "suspended-fourth": "1 4 5",
        "power": "1 5",
    }.items()
}
"""Degrees of each kind that a symbol stands for; a thirteenth has no eleventh here."""

_MOST_ALTER: Final = 2


class NoSuchChord(Exception):  # noqa: N818 (internal: becomes a line of the report)
    """A harmony that is no chord here."""


def chord_of(harmony: ET.Element) -> Chord | None:
    """Return the chord of a harmony; None for N.C.

    Raises
    ------
    NoSuchChord
        No symbol stands for it.
    """
    kind = harmony.find("kind")
    if kind is None:
        raise NoSuchChord
    value = (kind.text or "").strip()
    if value == "none":
        return None
    root = _name(harmony, "root")
    if root is None:
        raise NoSuchChord
    bass = _name(harmony, "bass")
    built = _built(harmony, value, root, bass)
    return built or _printed(kind, root, bass)


def _name(harmony: ET.Element, what: str) -> NoteName | None:
    step = (harmony.findtext(f"{what}/{what}-step") or "").strip().upper()
    alter = whole(harmony.findtext(f"{what}/{what}-alter") or "0")
    if step not in tuple("ABCDEFG") or alter is None or abs(alter) > _MOST_ALTER:
        return None
    return NoteName(step, alter)


def whole(text: str) -> int | None:
    """Return a whole number, also where it is written with a decimal point; None if it is none."""
    try:
        number = float(text)
    except ValueError:
        return None
    return int(number) if abs(number) < 10**6 and number == int(number) else None


def _built(harmony: ET.Element, kind: str, root: NoteName, bass: NoteName | None) -> Chord | None:
    """Return the chord that kind and degrees say, under its tidy reading; None where they fail."""
    if kind not in KINDS:
        return None
    tones = set(KINDS[kind])
    for element in harmony.findall("degree"):
        _depart(tones, element)
    rising = tuple(sorted(tones, key=lambda degree: (degree.number, degree.alter)))
    try:
        return read_symbol(write_symbol(Chord(root, rising, None if bass == root else bass))).chord
    except (ChordError, ValueError):
        return None


def _depart(tones: set[Degree], element: ET.Element) -> None:
    """Add, alter or subtract a degree."""
    number = whole(element.findtext("degree-value") or "")
    alter = whole(element.findtext("degree-alter") or "0")
    how = (element.findtext("degree-type") or "").strip()
    if number is None or alter is None or not 1 <= number <= 13:  # noqa: PLR2004 (a thirteenth)
        return
    own = [degree for degree in tones if degree.number == number]
    tones.difference_update(own)
    if how == "alter":
        tones.add(Degree(number, alter + (own[0].alter if own else 0)))
    elif how == "add":
        tones.update(own)
        flat = -1 if number == 7 else 0  # noqa: PLR2004 (an added seventh is flat)
        tones.add(Degree(number, alter + flat))


def _printed(kind: ET.Element, root: NoteName, bass: NoteName | None) -> Chord:
    """Return the chord of the symbol as printed."""
    quality = (kind.get("text") or "").strip()
    if not quality:
        raise NoSuchChord
    text = f"{root}{quality}{f'/{bass}' if bass else ''}"
    try:
        return read_symbol(text).chord
    except ChordError as error:
        raise NoSuchChord from error
