"""A line and its fingering as a sheet: one measure a bar of the changes it was made for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise
from typing import Final, Literal

from chartkit.chart import Meter, Tempo
from chartkit.guitar.fingering import Fingering
from chartkit.guitar.fretboard import Stop
from chartkit.harmony import Span
from chartkit.instrument import GUITAR, Instrument
from chartkit.line import Line, LineNote
from chartkit.notate.accidentals import simpler, with_accidentals
from chartkit.notate.beams import beamed
from chartkit.notate.layout import in_systems
from chartkit.notate.rhythm import Piece, pieces, triplet_pieces, triplet_windows
from chartkit.notate.sheet import ChordSymbol, Event, Measure, Sheet
from chartkit.notate.slashes import bar_rest
from chartkit.notate.written import written
from chartkit.theory.key import Key

CAUTION: Final = (
    "The hand stretches here: warm up, stop on pain, and take pain that lasts to a clinician."
)

Staves = Literal["both", "staff", "tab"]


@dataclass(frozen=True, slots=True)
class _Frame:
    """A bar of the changes: where it lies on the line, and its spans."""

    start: Fraction
    spans: tuple[Span, ...]

    @property
    def end(self) -> Fraction:
        last = self.spans[-1]
        return last.start + last.length

    @property
    def meter(self) -> Meter:
        return self.spans[0].meter

    @property
    def key(self) -> Key:
        return self.spans[0].key

    @property
    def shift(self) -> Fraction:
        """Where its first beat stands in a full measure: above 0 in a pickup."""
        pickup = self.spans[0].bar.number == 0
        return self.meter.length - (self.end - self.start) if pickup else Fraction(0)


@dataclass(frozen=True, slots=True)
class _Sounding:
    """The part of a line's note that lies in one bar, counted from the bar's first beat."""

    note: LineNote
    stop: Stop | None
    start: Fraction
    end: Fraction
    goes_on: bool
    went_on: bool


def notate_line(
    line: Line,
    fingering: Fingering | None = None,
    *,
    title: str,
    subtitle: str = "",
    composer: str = "",
    tempo: Tempo | None = None,
    instrument: Instrument = GUITAR,
    staves: Staves = "both",
) -> Sheet:
    """Write a line for an instrument, with tablature and fingers where a fingering is given.

    Parameters
    ----------
    line : Line
        Its notes fill its spans from the first beat on; they and the chords are the sounding ones.
    fingering : Fingering or None
        One stop a note of the line; None for a staff alone.
    title, subtitle, composer : str
    tempo : Tempo or None
        None prints no tempo.
    instrument : Instrument
        Whose clef and transposition it is written in, and whose strings it is fingered on.
    staves : {"both", "staff", "tab"}
        What to print where a fingering is given; without one there is the staff alone.

    Returns
    -------
    Sheet
        Four bars a system in four beats, as `chartkit.notate.layout` has it; a new section starts
        a system and has its label over it.
    """
    line = written(line, instrument.transposition)
    frames = _frames(line.spans)
    stops = fingering.stops if fingering else (None,) * len(line.notes)
    events = [(f.key, _events(f, line.notes, stops)) for f in frames]
    measures = [
        _measure(before, frame, row)
        for before, frame, row in zip(
            (None, *frames[:-1]), frames, with_accidentals(events), strict=True
        )
    ]
    return Sheet(
        title=title,
        subtitle=subtitle,
        composer=composer,
        tempo=tempo,
        measures=in_systems(_closed(measures)),
        instrument=instrument.name,
        clef=None if fingering and staves == "tab" else instrument.clef,
        transposition=instrument.transposition,
        tuning=instrument.tuning if fingering and staves != "staff" else None,
        caution=CAUTION if fingering and fingering.stretched else "",
    )


def _frames(spans: tuple[Span, ...]) -> list[_Frame]:
    return [_Frame(start, tuple(joined)) for start, joined in groupby(spans, lambda s: s.bar_start)]


def _measure(before: _Frame | None, frame: _Frame, events: tuple[Event, ...]) -> Measure:
    first = frame.spans[0]
    starts = before is None or _starts_section(before, frame)
    return Measure(
        id=first.bar,
        length=frame.end - frame.start,
        events=events,
        chords=tuple(
            ChordSymbol(span.start - frame.start, span.chord)
            for span in frame.spans
            if span.new or (starts and span is first and _named(span))
        ),
        meter=frame.meter if before is None or before.meter != frame.meter else None,
        key=frame.key if before is None or before.key.fifths != frame.key.fifths else None,
        rehearsal=first.bar.section if starts else "",
    )


def _named(span: Span) -> bool:
    """Tell whether something stands over a span: a chord, or N.C.; over a bare scale nothing."""
    return span.chord is not None or span.scale is None


def _starts_section(before: _Frame, frame: _Frame) -> bool:
    return bool(before.spans[-1].ends) or before.spans[0].bar.section != frame.spans[0].bar.section


def _closed(measures: list[Measure]) -> tuple[Measure, ...]:
    """Put a double bar before every section and a final one at the end."""
    *inner, last = measures
    ruled = [
        replace(m, right="||") if after.rehearsal else m for m, after in pairwise([*inner, last])
    ]
    return (*ruled, replace(last, right="|]"))


def _events(
    frame: _Frame, notes: tuple[LineNote, ...], stops: tuple[Stop | None, ...]
) -> tuple[Event, ...]:
    """Write what sounds in one bar as events with beams, end to end."""
    sounding = _sounding(frame, notes, stops)
    if all(s.note.pitch is None for s in sounding):
        return bar_rest(frame.end - frame.start)
    length = frame.end - frame.start
    bounds = tuple(sorted({Fraction(0), length, *(s.start for s in sounding)}))
    windows = triplet_windows(bounds, length)
    events = tuple(
        event for one in sounding for event in _write(one, windows, frame.meter, frame.shift)
    )
    return beamed(_bracketed(events, windows), frame.meter, frame.shift)


def _sounding(
    frame: _Frame, notes: tuple[LineNote, ...], stops: tuple[Stop | None, ...]
) -> tuple[_Sounding, ...]:
    return tuple(
        _Sounding(
            note,
            stop,
            max(note.start, frame.start) - frame.start,
            min(note.start + note.length, frame.end) - frame.start,
            goes_on=note.tie or note.start + note.length > frame.end,
            went_on=note.start < frame.start or (before is not None and before.tie),
        )
        for before, note, stop in zip((None, *notes[:-1]), notes, stops, strict=True)
        if note.start < frame.end and note.start + note.length > frame.start
    )


def _write(
    one: _Sounding, windows: tuple[tuple[Fraction, Fraction], ...], meter: Meter, shift: Fraction
) -> tuple[Event, ...]:
    """Write one sounding stretch as events, tied together where it takes several."""
    parts = [
        piece
        for start, end in pairwise(_cuts(one, windows))
        for piece in _pieces(start, end, windows, meter, shift, rest=one.note.pitch is None)
    ]
    if one.note.pitch is None:
        return tuple(Event(part.start, part.value, "rest") for part in parts)
    pitch = simpler(one.note.pitch)
    last = len(parts) - 1
    return tuple(
        Event(
            part.start,
            part.value,
            "note",
            pitch=pitch,
            stop=one.stop,
            tied_back=n > 0 or one.went_on,
            tied_on=n < last or one.goes_on,
        )
        for n, part in enumerate(parts)
    )


def _cuts(one: _Sounding, windows: tuple[tuple[Fraction, Fraction], ...]) -> list[Fraction]:
    """Return the ends of a stretch and the edges of triplets within it."""
    edges = {edge for window in windows for edge in window if one.start < edge < one.end}
    return sorted({one.start, one.end} | edges)


def _pieces(
    start: Fraction,
    end: Fraction,
    windows: tuple[tuple[Fraction, Fraction], ...],
    meter: Meter,
    shift: Fraction,
    *,
    rest: bool,
) -> tuple[Piece, ...]:
    window = next((w for w in windows if w[0] <= start < w[1]), None)
    if window:
        return triplet_pieces(start, end, window)
    full = pieces(start + shift, end + shift, meter, rest=rest)
    return tuple(replace(piece, start=piece.start - shift) for piece in full)


def _bracketed(
    events: tuple[Event, ...], windows: tuple[tuple[Fraction, Fraction], ...]
) -> tuple[Event, ...]:
    """Set the edges of each triplet's bracket."""
    starts = {start for start, _ in windows}
    ends = {end for _, end in windows}
    return tuple(
        replace(e, tuplet_edge="start" if e.start in starts else "stop" if e.end in ends else "")
        if e.value.tuplet
        else e
        for e in events
    )
