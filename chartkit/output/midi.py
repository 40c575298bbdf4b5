"""A performance as a Standard MIDI File (format 1, Standard MIDI Files 1.0; General MIDI 1).

Conventions: `GRID` ticks to the quarter note, tick 0 at the performance's start (the count-in's
first beat). The first track conducts: title, tempo, meters, keys and markers; then one track a
part. Every track ends exactly with the music. Rounds are written out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from io import BytesIO
from operator import itemgetter
from typing import TYPE_CHECKING, Final, TypeVar

from chartkit.chart import Meter
from chartkit.output.mix import STRIPS, VOLUME, strengths
from chartkit.output.timeline import Hit, tick, unrolled
from chartkit.theory.key import Key
from chartkit.track import GRID, Marker, Performance, Track

if TYPE_CHECKING:
    from mido import Message, MetaMessage, MidiTrack

_T = TypeVar("_T")

_CLOCKS: Final = 24
"""MIDI clocks in a quarter note, the unit of a meter's click."""

_SLOWEST: Final = 2**24 - 1
"""Microseconds a quarter note that fit in a tempo's three bytes."""

_MARKER_KIND: Final = {
    "chorus": "marker",
    "section": "marker",
    "loop": "marker",
    "turn": "marker",
    "chord": "text",
    "bar": "cue_marker",
}
_MOST: Final = 7
"""Accidentals in the fullest key signature."""


def encode(performance: Performance) -> bytes:
    """Return the bytes of a MIDI file; the same performance always gives the same bytes.

    Parameters
    ----------
    performance : Performance

    Returns
    -------
    bytes
        Section, chorus and loop markers are marker events, chord symbols text events and bars cue
        points. Text is UTF-8.
    """
    from mido import MidiFile

    file = MidiFile(type=1, ticks_per_beat=GRID, charset="utf-8")
    end = tick(performance.length) * performance.rounds - tick(performance.start)
    file.tracks.append(_track(_conductor(performance), end))
    file.tracks.extend(_track(_part(performance, track), end) for track in performance.tracks)
    buffer = BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


def microseconds(tempo: Fraction) -> int:
    """Return the whole microseconds nearest to a quarter note at so many a minute."""
    return min(_SLOWEST, round(60_000_000 / tempo))


def _track(events: Iterable[tuple[int, Message | MetaMessage]], end: int) -> MidiTrack:
    """Lay events (tick, message) out in order of tick, each kept in turn, and end the track."""
    from mido import MetaMessage, MidiTrack

    track, now = MidiTrack(), 0
    for at, message in sorted(events, key=lambda event: event[0]):
        track.append(message.copy(time=at - now))
        now = at
    track.append(MetaMessage("end_of_track", time=end - now))
    return track


def _conductor(performance: Performance) -> Iterator[tuple[int, MetaMessage]]:
    from mido import MetaMessage

    if performance.title:
        yield 0, MetaMessage("track_name", name=performance.title)
    for at, tempo in _changes(performance, performance.tempo.steps):
        yield at, MetaMessage("set_tempo", tempo=microseconds(tempo))
    for at, meter in _changes(performance, performance.meters):
        yield at, _meter(meter)
    for at, key in _changes(performance, performance.keys):
        yield at, MetaMessage("key_signature", key=_signature(key))
    for at, marker in _markers(performance):
        yield at, MetaMessage(_MARKER_KIND[marker.kind], text=marker.text)


def _part(performance: Performance, track: Track) -> Iterator[tuple[int, Message | MetaMessage]]:
    from mido import Message, MetaMessage

    strip = STRIPS[track.part]
    channel, first = strip.channel, tick(performance.start)
    yield 0, MetaMessage("track_name", name=strip.name)
    if strip.program:
        yield 0, Message("program_change", channel=channel, program=track.program)
    strength = strengths(performance)[track.part]
    controls = {**dict(strip.controls), VOLUME: strength.volume}
    for control, value in controls.items():
        yield 0, Message("control_change", channel=channel, control=control, value=value)
    for at, pitch, velocity in _keys(unrolled(performance, track)):
        kind = "note_on" if velocity else "note_off"
        struck = max(1, round(velocity * strength.velocity)) if velocity else 0
        yield at - first, Message(kind, channel=channel, note=pitch, velocity=struck)


def _keys(hits: Iterable[Hit]) -> list[tuple[int, int, int]]:
    """Return (tick, pitch, velocity) in order, releases first among equals, as velocity 0."""
    struck = [(hit.start, hit.velocity, hit.pitch) for hit in hits]
    released = [(hit.end, 0, hit.pitch) for hit in hits]
    return [(at, pitch, velocity) for at, velocity, pitch in sorted(struck + released)]


def _changes(
    performance: Performance, steps: Iterable[tuple[Fraction, _T]]
) -> Iterator[tuple[int, _T]]:
    """Yield (tick from the start, value) where a value changes, the first one at the start."""
    first, length = tick(performance.start), tick(performance.length)
    placed: dict[int, _T] = {}
    for number in range(performance.rounds):
        earliest = number * length if number else first
        for beat, value in steps:
            placed[max(earliest, tick(beat) + number * length) if placed else first] = value
    last = None
    for at, value in sorted(placed.items(), key=itemgetter(0)):
        if value != last:
            yield at - first, value
        last = value


def _markers(performance: Performance) -> Iterator[tuple[int, Marker]]:
    """Yield (tick from the start, marker) of every round; those of the count-in come once."""
    first, length = tick(performance.start), tick(performance.length)
    for number in range(performance.rounds):
        for marker in performance.markers:
            at = tick(marker.start)
            if at >= 0 or not number:
                yield max(at, first) + number * length - first, marker


def _meter(meter: Meter) -> MetaMessage:
    from mido import MetaMessage

    numerator, denominator = meter.signature
    return MetaMessage(
        "time_signature",
        numerator=numerator,
        denominator=denominator,
        clocks_per_click=round(_CLOCKS * meter.unit),
    )


def _signature(key: Key) -> str:
    """Return a key's name as mido has it; one of more than seven accidentals under another name."""
    written = key if abs(key.fifths) <= _MOST else Key.written(key.tonic.pitch_class, key.mode)
    return f"{written.tonic}{'m' if written.mode == 'minor' else ''}"
