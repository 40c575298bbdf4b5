"""A phrase from MusicXML: one part, its first staff and voice, sounding pitches.

Conventions: measures count from 1, a pick-up has none; repeats are written once. Source: the
MusicXML 4.0 documentation (W3C Community Group, 2021).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import takewhile
from typing import Final
from xml.etree import ElementTree as ET

from chartkit.chart import Meter, Tempo
from chartkit.errors import OutputError, RequestError
from chartkit.header import FASTEST, SLOWEST
from chartkit.phrase.imported import Event, Found, Imported, counted, phrase_from
from chartkit.phrase.musicxml_file import score_of
from chartkit.phrase.musicxml_measures import Measures, MusicBar, moved_key
from chartkit.theory.chord import Chord

_DROPPED: Final = {
    "grace": "grace {} left out",
    "cue": "cue {} left out",
    "unpitched": "{} without pitch left out",
    "voice": "{} of other voices left out",
    "staff": "{} of other staves left out",
    "out of range": "{} out of range left out",
}


def import_musicxml(
    data: bytes, *, part: int | None = None, bars: tuple[int, int] | None = None
) -> Imported:
    """Make a phrase of a MusicXML file.

    Parameters
    ----------
    data : bytes
        The whole file, plain or compressed.
    part : int, optional
        Which part, from 1; the first that has notes by default.
    bars : (int, int), optional
        First and last measure, from 1; all of them by default.

    Raises
    ------
    OutputError
        It is no MusicXML, or holds no phrase.
    RequestError
        There is no such part, or no such bars.
    """
    score = score_of(data)
    chosen = _part(score, part)
    reader = Measures()
    for measure in chosen.findall("measure"):
        reader.measure(measure)
    found = _found(score, reader, bars)
    return phrase_from(replace(found, report=(*_names(score, chosen), *found.report)))


def _part(score: ET.Element, number: int | None) -> ET.Element:
    parts = score.findall("part")
    if not parts:
        raise OutputError("there is no part in it")
    if number is None:
        return next((part for part in parts if part.find(".//note/pitch") is not None), parts[0])
    if not 1 <= number <= len(parts):
        raise RequestError(f"there is no part {number}: it has {counted(len(parts), 'part')}")
    return parts[number - 1]


def _names(score: ET.Element, chosen: ET.Element) -> Iterator[str]:
    parts = score.findall("part")
    if len(parts) > 1:
        name = score.findtext(f"part-list/score-part[@id='{_plain(chosen.get('id'))}']/part-name")
        told = f" ({name.strip()[:40]})" if name and name.strip() else ""
        yield f"part {parts.index(chosen) + 1} of {len(parts)} is taken{told}; --part takes another"


def _plain(text: str | None) -> str:
    """Return a name with nothing in it that could end a quotation."""
    return "".join(c for c in text or "" if c.isalnum() or c in "-_.")


# ---- All measures together ------------------------------------------------------------------


def _found(score: ET.Element, state: Measures, asked: tuple[int, int] | None) -> Found:
    if not state.bars:
        raise OutputError("there are no measures in it")
    has_pickup = state.bars[0].implicit and state.bars[0].length < state.bars[0].meter.length
    chosen, pickup = _chosen(state.bars, asked, has_pickup=has_pickup)
    meter = chosen[-1].meter
    if any(bar.meter != meter for bar in chosen):
        raise OutputError("its meter changes on the way: choose bars of one meter with --bars")
    starts = _starts(chosen, pickup, meter)
    key = next((bar.key for bar in chosen if bar.key), None)
    return Found(
        events=tuple(_joined(chosen, starts)),
        chords=tuple(_standing(state.bars, chosen, starts)),
        meter=meter,
        bars=len(chosen) - (pickup > 0),
        pickup=pickup,
        key=moved_key(key, state.semitones),
        tempo=_tempo(state.tempo),
        title=_text(score.findtext("work/work-title") or score.findtext("movement-title")),
        source=_text(score.findtext("identification/creator")),
        report=tuple(_report(state)),
    )


def _chosen(
    bars: Sequence[MusicBar], asked: tuple[int, int] | None, *, has_pickup: bool
) -> tuple[Sequence[MusicBar], Fraction]:
    """Return the measures that are asked for, and the length of a pick-up among them."""
    last = len(bars) - has_pickup
    if asked is None or (asked[0] == 1 and asked[1] == last):
        return bars, bars[0].length if has_pickup else Fraction(0)
    if asked[1] > last:
        raise RequestError(f"there are no bars {asked[0]}-{asked[1]}: it has {last}")
    return bars[asked[0] - 1 + has_pickup : asked[1] + has_pickup], Fraction(0)


def _starts(chosen: Sequence[MusicBar], pickup: Fraction, meter: Meter) -> list[Fraction]:
    starts = [n * meter.length for n in range(len(chosen) - (pickup > 0))]
    for number, bar in enumerate(chosen[pickup > 0 :], 1):
        if bar.length > meter.length:
            raise OutputError(f"bar {number} of it holds more than its meter, {meter}")
    return [-pickup, *starts] if pickup else starts


def _joined(chosen: Sequence[MusicBar], starts: Sequence[Fraction]) -> list[Event]:
    """Return the events of all measures, tied notes joined."""
    found: list[Event] = []
    waiting: dict[int, int] = {}
    for bar, start in zip(chosen, starts, strict=True):
        for event, goes_back, goes_on in bar.events:
            moved = replace(event, start=start + event.start, end=start + event.end)
            before = waiting.pop(event.midi, None)
            if goes_back and before is not None and found[before].end == moved.start:
                found[before] = replace(found[before], end=moved.end)
            else:
                before = len(found)
                found.append(moved)
            if goes_on:
                waiting[event.midi] = before
    return found


def _standing(
    bars: Sequence[MusicBar], chosen: Sequence[MusicBar], starts: Sequence[Fraction]
) -> Iterator[tuple[Fraction, Chord | None]]:
    """Yield the chords of the chosen measures, first the one that stands from before."""
    earlier = takewhile(lambda bar: bar is not chosen[0], bars)
    standing = [chord for bar in earlier for _, chord in bar.chords]
    if standing and starts[0] == 0:
        yield Fraction(0), standing[-1]
    for bar, start in zip(chosen, starts, strict=True):
        for at, chord in bar.chords:
            yield start + at, chord


def _tempo(quarters: Fraction | None) -> Tempo | None:
    if quarters is None or not SLOWEST <= quarters <= FASTEST:
        return None
    return Tempo(round(quarters, 2))


def _text(text: str | None) -> str:
    """Return free text on one line, as a header has it."""
    return " ".join((text or "").split())[:200]


def _report(state: Measures) -> Iterator[str]:
    for reason, number in sorted(state.dropped.items()):
        if reason != "staff":
            yield _DROPPED[reason].format(counted(number, "note"))
    if state.lost_chords:
        places = ", ".join(map(str, dict.fromkeys(state.lost_chords)))
        yield f"chords that have no symbol here are left out, in measure {places}"
    if state.repeats:
        yield "repeats are written out once"
