"""From notes of another program's file to a phrase, and the report of what was guessed.

Conventions: times in quarter notes from the first full bar's first beat. What comes in may overlap,
lie beside every beat and know nothing of chords; what goes out is a phrase as written, and every
change on the way is told in the report, a sentence each.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, floor
from typing import Final

from chartkit.chart import Meter, Tempo
from chartkit.errors import OutputError
from chartkit.phrase.phrase import Phrase, PhraseChord
from chartkit.phrase.quantise import quantised
from chartkit.phrase.spelling import estimated_key, spelled
from chartkit.phrase.values import SIXTEENTH, Heard, as_written
from chartkit.theory.chord import Chord
from chartkit.theory.key import Key
from chartkit.theory.pitch import Pitch

_LOWEST: Final = 12
"""C0, whose name may lie an octave below."""

_EIGHTH: Final = Fraction(1, 2)

MOST_BARS: Final = 64
"""Bars of the longest phrase that is made from a file."""


@dataclass(frozen=True, slots=True)
class Event:
    """A note as a file has it: where it sounds, and its name if the file tells it."""

    start: Fraction
    end: Fraction
    midi: int
    pitch: Pitch | None = None


@dataclass(frozen=True, slots=True)
class Found:
    """What was found in a file.

    Parameters
    ----------
    events : tuple of Event
        In any order.
    chords : tuple of (Fraction, Chord or None)
        Where each begins to stand; None is N.C. Empty where the file tells of none.
    meter : Meter
    bars : int
        Full bars; more are added as the notes need them.
    pickup : Fraction
    key : Key or None
    tempo : Tempo or None
    title, source : str
    report : tuple of str
    """

    events: tuple[Event, ...]
    chords: tuple[tuple[Fraction, Chord | None], ...]
    meter: Meter
    bars: int
    pickup: Fraction = Fraction(0)
    key: Key | None = None
    tempo: Tempo | None = None
    title: str = ""
    source: str = ""
    report: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Imported:
    """A phrase, and what was guessed to make it of another file, a sentence each."""

    phrase: Phrase
    report: tuple[str, ...]


def phrase_from(found: Found, *, swung: bool = False) -> Imported:
    """Make a phrase of what was found in a file.

    Parameters
    ----------
    found : Found
    swung : bool
        Off-beats are played late: read long and short as two eighths.

    Raises
    ------
    OutputError
        There are no notes, or too many bars.
    """
    report = list(found.report)
    events = _in_range(found.events, report)
    if not events:
        raise OutputError("there are no notes in it")
    single = _one_at_a_time(events, report)
    timed = quantised([(e.start, e.end) for e in single], report, swung=swung)
    kept = [
        replace(event, start=start, end=end)
        for event, (start, end) in zip(single, timed, strict=True)
        if end > start
    ]
    bar = found.meter.length
    bars = max(found.bars, ceil(max(event.end for event in kept) / bar), 1)
    if bars > MOST_BARS:
        raise OutputError(
            f"it has {bars} bars, too long for a phrase: choose {MOST_BARS} at most with --bars"
        )
    chords = tuple(_chords(found, bars, report))
    if not chords:
        report.append("no chords are told: write a `Chords:` line over the melody")
    key = found.key or _key(kept, chords, report)
    pickup = _pickup(found.pickup, kept)
    notes = as_written(_filled(_named(kept, key, chords, report), pickup), found.meter, bars * bar)
    phrase = Phrase(
        notes,
        found.title,
        found.source,
        key=key,
        meter=found.meter,
        tempo=found.tempo,
        chords=chords,
        pickup=pickup,
    )
    return Imported(phrase, tuple(report))


def counted(number: int, noun: str) -> str:
    """Return a number of things in words: ``3 notes``."""
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _in_range(events: Sequence[Event], report: list[str]) -> list[Event]:
    """Leave out notes that lie too low for an octave's number."""
    kept = [e for e in events if (e.pitch.octave >= 0 if e.pitch else e.midi > _LOWEST)]
    if len(kept) < len(events):
        report.append(f"{counted(len(events) - len(kept), 'note')} too low to be written left out")
    return kept


# ---- One note at a time ---------------------------------------------------------------------


def _one_at_a_time(events: Sequence[Event], report: list[str]) -> list[Event]:
    """Keep the highest of notes struck together, and let each end where the next one starts."""
    highest: dict[Fraction, Event] = {}
    for event in sorted(events, key=lambda one: (one.start, one.midi)):
        highest[event.start] = event
    single = list(highest.values())
    dropped = len(events) - len(single)
    if dropped:
        report.append(f"{counted(dropped, 'note')} under a higher one left out")
    ends = [*(event.start for event in single[1:]), None]
    shortened = [
        replace(event, end=end) if end is not None and event.end > end else event
        for event, end in zip(single, ends, strict=True)
    ]
    cut = sum(one != other for one, other in zip(single, shortened, strict=True))
    if cut:
        report.append(f"{counted(cut, 'note')} shortened, which rang on into the next one")
    return shortened


def _pickup(told: Fraction, events: Sequence[Event]) -> Fraction:
    """Return the length of the pick-up: from its first note, or as the file tells it."""
    own = max(Fraction(0), -events[0].start)
    if told <= own:
        return own
    plain = told % SIXTEENTH == 0 and own % SIXTEENTH == 0
    return told if plain else ceil(told / _EIGHTH) * _EIGHTH


def _filled(tones: Sequence[Heard], pickup: Fraction) -> Iterator[Heard]:
    """Yield tones, with a rest before the first where a pick-up or a bar starts with one."""
    first = tones[0].start
    if -pickup < first:
        yield Heard(-pickup, first + pickup, None)
    yield from tones


# ---- Names ----------------------------------------------------------------------------------


def _key(events: Sequence[Event], chords: Sequence[PhraseChord], report: list[str]) -> Key | None:
    """Return the key that the notes suggest; None where chords will tell it."""
    if any(one.chord for one in chords):
        return None
    key = estimated_key([(event.midi, event.end - event.start) for event in events])
    report.append(f"no key is told: {key} is guessed from the notes")
    return key


def _named(
    events: Sequence[Event], key: Key | None, chords: Sequence[PhraseChord], report: list[str]
) -> list[Heard]:
    """Return events with the names that they have or may have."""
    if all(event.pitch for event in events):
        return [Heard(e.start, e.end - e.start, e.pitch) for e in events]
    from chartkit.analysis import estimate_key

    home = key or estimate_key((one.chord, one.length) for one in chords if one.chord)
    names = spelled([(event.start, event.midi) for event in events], home, tuple(chords))
    report.append(
        f"names of notes are guessed, in {home}: mend those that you would spell otherwise"
    )
    return [
        Heard(event.start, event.end - event.start, event.pitch or name)
        for event, name in zip(events, names, strict=True)
    ]


# ---- Chords ---------------------------------------------------------------------------------


def _chords(found: Found, bars: int, report: list[str]) -> Iterator[PhraseChord]:
    """Yield the chords on their beats, cut at bar lines."""
    unit, end = found.meter.unit, bars * found.meter.length
    placed: dict[Fraction, Chord | None] = {}
    moved = 0
    for start, chord in sorted(found.chords, key=lambda one: one[0]):
        beat = max(floor(start / unit + Fraction(1, 2)) * unit, Fraction(0))
        moved += start not in (beat, -found.pickup)
        placed[beat] = chord
    if moved:
        report.append(f"{counted(moved, 'chord')} moved to the nearest beat")
    if not placed:
        return
    if 0 not in placed:
        report.append("no chord is told for its beginning: N.C. stands there")
    starts = sorted(beat for beat in {Fraction(0), *placed} if beat < end)
    chord = None
    for beat, until in zip(starts, [*starts[1:], end], strict=True):
        chord = placed.get(beat, chord)
        yield from _in_bars(beat, until, chord, found.meter)


def _in_bars(
    start: Fraction, end: Fraction, chord: Chord | None, meter: Meter
) -> Iterator[PhraseChord]:
    while start < end:
        until = min(end, (start // meter.length + 1) * meter.length)
        yield PhraseChord(start, until - start, chord)
        start = until
