"""A phrase from a Standard MIDI File: one track's notes, put on note values.

Conventions: bars count from the file's start, by its meter; full bars of silence before the first
note are left out. Cue points that are numbers tell where bars begin, and text events that are chord
symbols tell the chords, as in the files written here. Source: Standard MIDI Files 1.0.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from io import BytesIO
from typing import TYPE_CHECKING, Final

from chartkit.chart import Meter, Tempo
from chartkit.errors import ChordError, OutputError, RequestError
from chartkit.header import FASTEST, SLOWEST, read_key, read_meter
from chartkit.lines import Misread
from chartkit.phrase.imported import Event, Found, Imported, counted, phrase_from
from chartkit.phrase.phrase import FOUR_FOUR
from chartkit.theory.chord import Chord
from chartkit.theory.key import Key
from chartkit.theory.symbol import read_symbol, write_symbol

if TYPE_CHECKING:
    from mido import MidiFile, MidiTrack

LARGEST: Final = 1024 * 1024
"""Bytes of the largest file that is read."""

_DRUMS: Final = 9
"""The channel of percussion, from 0 (General MIDI 1)."""
_MINUTE: Final = 60_000_000
_SMPTE: Final = 0x8000
_LONGEST: Final = 100_000
"""Quarter notes of the longest file that is believed."""


@dataclass(frozen=True, slots=True)
class _Told:
    """What the events of a file tell beside its notes; times in quarter notes from its start."""

    meters: tuple[Meter, ...]
    key: Key | None
    tempo: Tempo | None
    chords: tuple[tuple[Fraction, Chord | None], ...]
    first_bar: Fraction | None
    title: str


def import_midi(
    data: bytes,
    *,
    part: int | None = None,
    bars: tuple[int, int] | None = None,
    swung: bool = False,
) -> Imported:
    """Make a phrase of a MIDI file.

    Parameters
    ----------
    data : bytes
        The whole file.
    part : int, optional
        Which of the tracks that have notes, from 1; the first of them by default.
    bars : (int, int), optional
        First and last bar, from 1 at the file's start; all of them by default.
    swung : bool
        Off-beats are played late: read long and short as two eighths.

    Raises
    ------
    OutputError
        It is no MIDI file, or holds no phrase.
    RequestError
        There is no such part.
    """
    file = _file(data)
    tracks = [notes for notes in (_notes(track, file) for track in file.tracks) if notes]
    if not tracks:
        raise OutputError("there are no notes in it")
    if not 1 <= (part or 1) <= len(tracks):
        raise RequestError(f"there is no part {part}: it has {counted(len(tracks), 'part')}")
    told = _told(file)
    if len(told.meters) > 1:
        raise OutputError("its meter changes on the way, and a phrase has one meter")
    report = []
    if len(tracks) > 1:
        report.append(f"part {part or 1} of {len(tracks)} is taken; --part takes another")
    found = _found(tracks[(part or 1) - 1], told, bars, report)
    return phrase_from(found, swung=swung)


def _file(data: bytes) -> MidiFile:
    import mido

    if len(data) > LARGEST:
        raise OutputError(f"it is larger than {LARGEST // 1024 // 1024} MB")
    if not data.startswith(b"MThd"):
        raise OutputError("it is no MIDI file")
    try:
        file = mido.MidiFile(file=BytesIO(data), charset="utf-8", clip=True)
    except (
        *(OSError, EOFError, ValueError, LookupError, TypeError, AttributeError),
        mido.KeySignatureError,
    ) as error:
        raise OutputError("it is a MIDI file that breaks off or holds what cannot be") from error
    if not 0 < file.ticks_per_beat < _SMPTE:
        raise OutputError("it counts time in film frames, not in beats")
    return file


# ---- What a file holds ----------------------------------------------------------------------


def _timed(track: MidiTrack, file: MidiFile) -> Iterator[tuple[Fraction, object]]:
    """Yield the messages of a track with their times."""
    ticks = 0
    for message in track:
        ticks += int(message.time)
        beat = Fraction(ticks, file.ticks_per_beat)
        if beat > _LONGEST:
            raise OutputError("it lasts too long to be music")
        yield beat, message


def _notes(track: MidiTrack, file: MidiFile) -> tuple[Event, ...]:
    """Return the notes of a track, percussion left out; those that never end last to its end."""
    found: list[Event] = []
    open_notes: dict[tuple[int, int], Fraction] = {}
    beat = Fraction(0)
    for beat, message in _timed(track, file):
        kind = getattr(message, "type", "")
        if kind not in ("note_on", "note_off") or message.channel == _DRUMS:  # type: ignore[attr-defined]
            continue
        place = message.channel, message.note  # type: ignore[attr-defined]
        started = open_notes.pop(place, None)
        if started is not None and beat > started:
            found.append(Event(started, beat, place[1]))
        if kind == "note_on" and message.velocity:  # type: ignore[attr-defined]
            open_notes[place] = beat
    found += (Event(at, beat, place[1]) for place, at in open_notes.items() if beat > at)
    return tuple(sorted(found, key=lambda event: (event.start, event.midi)))


def _told(file: MidiFile) -> _Told:
    meters: dict[Meter, None] = {}
    key: Key | None = None
    tempo: Tempo | None = None
    chords: list[tuple[Fraction, Chord | None]] = []
    first_bar: Fraction | None = None
    title = ""
    for number, track in enumerate(file.tracks):
        for beat, message in _timed(track, file):
            kind = getattr(message, "type", "")
            if kind == "time_signature":
                meters[_meter(f"{message.numerator}/{message.denominator}")] = None  # type: ignore[attr-defined]
            elif kind == "key_signature":
                key = key or _key(str(message.key))  # type: ignore[attr-defined]
            elif kind == "set_tempo":
                tempo = tempo or _tempo(int(message.tempo))  # type: ignore[attr-defined]
            elif kind == "text":
                chords += ((beat, chord) for chord in _chord(str(message.text)))  # type: ignore[attr-defined]
            elif kind == "cue_marker" and first_bar is None and str(message.text) == "1":  # type: ignore[attr-defined]
                first_bar = beat
            elif kind == "track_name" and number == 0:
                title = " ".join(str(message.name).split())[:200]  # type: ignore[attr-defined]
    return _Told(tuple(meters) or (FOUR_FOUR,), key, tempo, tuple(chords), first_bar, title)


def _meter(text: str) -> Meter:
    try:
        return read_meter(text)
    except Misread as trouble:
        raise OutputError(f"its meter cannot be read: {trouble.found}") from trouble


def _key(text: str) -> Key | None:
    try:
        return read_key(text)
    except Misread:
        return None


def _tempo(microseconds: int) -> Tempo | None:
    quarters = round(Fraction(_MINUTE, max(1, microseconds)), 2)
    return Tempo(quarters) if SLOWEST <= quarters <= FASTEST else None


def _chord(text: str) -> Iterator[Chord | None]:
    """Yield the chord that a text is, if it is one's symbol and nothing else."""
    plain = text.strip()
    if plain.replace(".", "").upper() == "NC":
        yield None
        return
    try:
        chord = read_symbol(plain).chord
    except ChordError:
        return
    if write_symbol(chord):
        yield chord


# ---- Bars -----------------------------------------------------------------------------------


def _found(
    events: Sequence[Event], told: _Told, bars: tuple[int, int] | None, report: list[str]
) -> Found:
    """Return the notes of the bars that are wanted, counted from the first full bar."""
    meter = told.meters[0]
    bar = meter.length
    chords = told.chords
    if bars:
        first, end = (bars[0] - 1) * bar, bars[1] * bar
        events = [
            replace(event, end=min(event.end, end))
            for event in events
            if first <= event.start < end
        ]
        if not events:
            raise OutputError(f"there are no notes in bars {bars[0]}-{bars[1]} of it")
        zero, count = first, bars[1] - bars[0] + 1
    else:
        zero, count = _first_bar(events, told, report), 0
    standing = [(beat, chord) for beat, chord in chords if beat <= zero][-1:]
    later = [(beat, chord) for beat, chord in chords if beat > zero]
    until = zero + bars[1] * bar if bars else None
    return Found(
        events=tuple(replace(e, start=e.start - zero, end=e.end - zero) for e in events),
        chords=tuple(
            (max(beat - zero, Fraction(0)), chord)
            for beat, chord in (*standing, *later)
            if until is None or beat < until
        ),
        meter=meter,
        bars=count,
        key=told.key,
        tempo=told.tempo,
        title=told.title,
        report=tuple(report),
    )


def _first_bar(events: Sequence[Event], told: _Told, report: list[str]) -> Fraction:
    """Return where the first full bar begins; what lies before it is a pick-up."""
    bar = told.meters[0].length
    first = events[0].start
    if told.first_bar is not None and told.first_bar - first < bar:
        return told.first_bar + max(Fraction(0), (first - told.first_bar) // bar * bar)
    silent = first // bar * bar
    if silent:
        report.append(f"{counted(int(silent / bar), 'bar')} of silence before it left out")
    following = any(event.start >= silent + bar for event in events)
    if first - silent >= bar / 2 and following:
        report.append("what comes before the first full bar is read as a pick-up")
        return silent + bar
    return silent
