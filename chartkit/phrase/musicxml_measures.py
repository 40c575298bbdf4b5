"""The measures of one part of a MusicXML score, read one after the other.

Conventions: times in quarter notes from a measure's start; pitches and chords as they sound.
Source: the MusicXML 4.0 documentation (W3C Community Group, 2021).
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from typing import Final
from xml.etree import ElementTree as ET

from chartkit.chart import Meter
from chartkit.errors import OutputError
from chartkit.header import read_meter
from chartkit.lines import Misread
from chartkit.phrase.imported import Event
from chartkit.phrase.musicxml_chord import NoSuchChord, chord_of, whole
from chartkit.phrase.phrase import FOUR_FOUR
from chartkit.theory.chord import Chord
from chartkit.theory.key import Key, Mode
from chartkit.theory.pitch import NoteName, Pitch
from chartkit.transpose import transpose_chord, transpose_name

_LONGEST: Final = 10_000
"""Quarter notes of the longest duration that is believed."""

_MOST_FIFTHS: Final = 7
_LINE_OF_FIFTHS: Final = "FCGDAEB"
_HIGHEST: Final = 127
_HIGHEST_OCTAVE: Final = 9
_MOST_ALTER: Final = 2
_NUMBER: Final = re.compile(r"-?[0-9]{1,9}(?:\.[0-9]{1,9})?")
_C_MAJOR: Final = Key(NoteName("C"))


@dataclass(frozen=True, slots=True)
class MusicBar:
    """A measure: its meter and key, how long it is, and what lies in it, from its start.

    With each event comes whether it is tied to the note before it, and to the one after it.
    """

    meter: Meter
    key: Key | None
    length: Fraction
    implicit: bool
    events: tuple[tuple[Event, bool, bool], ...]
    chords: tuple[tuple[Fraction, Chord | None], ...]


class Measures:
    """Reads the measures of a part.

    Attributes
    ----------
    bars : list of MusicBar
    tempo : Fraction or None
        The first that is told, in quarter notes a minute.
    semitones : int
        How far the part sounds above what is written.
    dropped : Counter of str
        Notes left out, by reason.
    lost_chords : list of int
        Measures, from 1, with a chord that has no symbol.
    repeats : bool
        There are repeats.
    """

    def __init__(self) -> None:
        self.bars: list[MusicBar] = []
        self.tempo: Fraction | None = None
        self.semitones = 0
        self.dropped: Counter[str] = Counter()
        self.lost_chords: list[int] = []
        self.repeats = False
        self._divisions = Fraction(1)
        self._meter = FOUR_FOUR
        self._key: Key | None = None
        self._voice: str | None = None
        self._at = Fraction(0)
        self._last = Fraction(0)
        self._furthest = Fraction(0)
        self._events: list[tuple[Event, bool, bool]] = []
        self._chords: list[tuple[Fraction, Chord | None]] = []

    def measure(self, element: ET.Element) -> None:
        """Read a measure."""
        self._at = self._last = self._furthest = Fraction(0)
        self._events, self._chords = [], []
        for child in element:
            method = _METHODS.get(child.tag)
            if method:
                method(self, child)
        implicit = element.get("implicit") == "yes" or element.get("number") == "0"
        self.bars.append(
            MusicBar(
                self._meter,
                self._key,
                self._furthest,
                implicit,
                tuple(self._events),
                tuple(self._chords),
            )
        )

    def _attributes(self, element: ET.Element) -> None:
        divisions = number(element.findtext("divisions"))
        if divisions > 0:
            self._divisions = divisions
        signature = element.find("key")
        if signature is not None:
            self._key = _key(signature)
        time = element.find("time")
        if time is not None and time.find("beats") is not None:
            self._meter = _meter(time)
        transpose = element.find("transpose")
        if transpose is not None:
            octaves = whole(transpose.findtext("octave-change") or "0") or 0
            self.semitones = (whole(transpose.findtext("chromatic") or "0") or 0) + (12 * octaves)

    def _duration(self, element: ET.Element) -> Fraction:
        length = max(number(element.findtext("duration")), Fraction(0)) / self._divisions
        if length > _LONGEST:
            raise OutputError("it has a note that is too long to be one")
        return length

    def _backup(self, element: ET.Element) -> None:
        self._at = max(Fraction(0), self._at - self._duration(element))

    def _forward(self, element: ET.Element) -> None:
        self._move(self._duration(element))

    def _move(self, length: Fraction) -> None:
        self._at += length
        self._furthest = max(self._furthest, self._at)

    def _harmony(self, element: ET.Element) -> None:
        offset = number(element.findtext("offset"))
        at = max(Fraction(0), self._at + offset / self._divisions)
        try:
            chord = chord_of(element)
        except NoSuchChord:
            self.lost_chords.append(len(self.bars) + 1)
            return
        self._chords.append((at, self._sounding_chord(chord)))

    def _sounding_chord(self, chord: Chord | None) -> Chord | None:
        goal = moved_key(self._key, self.semitones)
        if chord is None or goal is None or self._key is None:
            return chord
        return transpose_chord(chord, self._key, goal)

    def _sound(self, element: ET.Element) -> None:
        tempo = number(element.get("tempo"))
        if tempo > 0 and self.tempo is None:
            self.tempo = tempo

    def _direction(self, element: ET.Element) -> None:
        for sound in element.findall("sound"):
            self._sound(sound)

    def _barline(self, element: ET.Element) -> None:
        self.repeats |= element.find("repeat") is not None

    def _note(self, element: ET.Element) -> None:
        grace = element.find("grace") is not None
        length = Fraction(0) if grace else self._duration(element)
        together = element.find("chord") is not None
        start = self._last if together else self._at
        if not together and not grace:
            self._last = self._at
            self._move(length)
        if element.find("rest") is not None:
            return
        reason = self._reason(element, grace=grace)
        if reason:
            self.dropped[reason] += 1
            return
        pitch = self._pitch(element)
        if pitch is None or length == 0:
            self.dropped["out of range"] += 1
            return
        kinds = {tie.get("type") for tie in element.findall("tie")}
        event = Event(start, start + length, pitch.midi, pitch)
        self._events.append((event, "stop" in kinds, "start" in kinds))

    def _reason(self, element: ET.Element, *, grace: bool) -> str:
        """Return why a note is left out, or nothing."""
        if grace:
            return "grace"
        if element.find("cue") is not None:
            return "cue"
        if (element.findtext("staff") or "1").strip() != "1":
            return "staff"
        voice = (element.findtext("voice") or "1").strip()
        if self._voice is None:
            self._voice = voice
        if voice != self._voice:
            return "voice"
        return "unpitched" if element.find("pitch") is None else ""

    def _pitch(self, element: ET.Element) -> Pitch | None:
        """Return the sounding pitch of a note; None where there is none."""
        step = (element.findtext("pitch/step") or "").strip().upper()
        alter = whole(element.findtext("pitch/alter") or "0")
        octave = whole(element.findtext("pitch/octave") or "")
        if len(step) != 1 or step not in "ABCDEFG" or alter is None or octave is None:
            return None
        if abs(alter) > _MOST_ALTER or not 0 <= octave <= _HIGHEST_OCTAVE:
            return None
        name = NoteName(step, alter)
        midi = Pitch(name, octave).midi + self.semitones
        home = self._key or _C_MAJOR
        goal = moved_key(home, self.semitones)
        if goal and goal != home:
            name = transpose_name(name, home, goal)
        return Pitch.at(name, midi) if 0 <= midi <= _HIGHEST else None


_METHODS: Final = {
    "attributes": Measures._attributes,  # noqa: SLF001 (its own)
    "backup": Measures._backup,  # noqa: SLF001
    "forward": Measures._forward,  # noqa: SLF001
    "harmony": Measures._harmony,  # noqa: SLF001
    "direction": Measures._direction,  # noqa: SLF001
    "sound": Measures._sound,  # noqa: SLF001
    "barline": Measures._barline,  # noqa: SLF001
    "note": Measures._note,  # noqa: SLF001
}


def number(text: str | None) -> Fraction:
    """Return a decimal number; 0 where there is none."""
    plain = (text or "").strip()
    return Fraction(plain) if _NUMBER.fullmatch(plain) else Fraction(0)


def _key(signature: ET.Element) -> Key | None:
    fifths = whole(signature.findtext("fifths") or "")
    if fifths is None or abs(fifths) > _MOST_FIFTHS:
        return None
    mode: Mode = "minor" if (signature.findtext("mode") or "").strip() == "minor" else "major"
    place = fifths + 1 + (3 if mode == "minor" else 0)
    return Key(NoteName(_LINE_OF_FIFTHS[place % 7], place // 7), mode)


def _meter(time: ET.Element) -> Meter:
    text = f"{(time.findtext('beats') or '').strip()}/{(time.findtext('beat-type') or '').strip()}"
    try:
        return read_meter(text)
    except Misread as trouble:
        raise OutputError(f"its meter cannot be read: {trouble.found}") from trouble


def moved_key(key: Key | None, semitones: int) -> Key | None:
    """Return the key so far above another one; the same under its own name for no distance."""
    if key is None or semitones % 12 == 0:
        return key
    return Key.written(key.tonic.pitch_class + semitones, key.mode)
