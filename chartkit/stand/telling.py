"""What the page gets of one thing to practise: engraved systems, and stems with their times.

This is the contract between server and page. ``POST /api/work`` answers a request (the fields are
in `chartkit.stand.asked.READERS`, their names as in JSON) with::

    {"id": text,                        # differs for works that differ
     "kind": "chart" | "exercise" | "technique" | "phrase",
     "title", "subtitle", "composer": text,
     "caution": text,                   # one line where fingers stretch, else empty
     "request": {...},                  # what was asked for, to be asked again with other fields
     "tempo": number,                   # quarter notes a minute, of the first time round
     "feel", "key": text,               # "swing", "Bb major" (of the first time round)
     "sections": [{"label": "A", "part": "A"}, ...,   # of the tune; `part` is what to ask for
                  {"label": "A to B", "part": "A>B"}, ...],             # and its joins
     "bars": [{"id": "bar-7", "section": "A", "number": 7,
               "label": "Bar 7, section A",     # said to those who do not see it
               "key": "Bb major"}, ...],
     "systems": [{"svg": "<svg ...", "bars": [id, ...], "width": pt, "height": pt}, ...],
     "narrow": [...],                   # the same music in shorter systems, for a small screen
     "shape": "<svg ..." | null,        # the first key's scale in the exercise's position
     "shapes": [{"name": "Gm7", "svg": "<svg ..."}, ...],   # each chord's arpeggio there; scales
     "sound": {"rate": 44100, "frames": n, "start": n, "end": n, "loop": true | false,
               "peak": number,          # highest sample of all stems at once, full scale 1
               "parts": [{"name": "bass", "href": "/sound/<id>/bass.wav"}, ...],
               "bars": [{"bar": id, "start": s, "end": s}, ...],
               "beats": [s, ...], "countIn": [s, ...],
               "chords": [{"name": "Gm7", "start": s, "end": s, "shape": n | null}, ...]}}

Conventions of it: every time is in seconds from the stems' first frame, `start` and `end` are
frames counted from there. The count-in lies before `start` and is part of the click's stem. A loop
goes from `end` back to `start` and joins there; other music has its decay after `end`. Every stem
has `frames` frames. A chart's page is the whole tune whatever part of it sounds, an exercise's is
the part that was asked for. `sound.bars` are in playing order, repeated bars again; a bar that is
not on the page (an intro that is not written) has an empty id. With another key each time round
the page has the music once in each key, one after the other. Parts are "bass", "chords", "drums",
"line" and "click".

In each SVG every bar is a ``<g class="measure" id="bar-7">``. Ink is ``currentColor``; hollow dots
of a shape have ``fill="white"``. ``engraving.css`` brings the engraver's faces. What is refused is
answered with ``{"error": "one sentence"}``; 503 means: try again in a moment (``Retry-After``).

Other addresses: ``GET api/tunes`` ``{"tunes": [...], "choices": {...}}`` (`chartkit.stand.shelf`,
`chartkit.stand.choices`); ``GET api/today``, ``POST api/log`` (`chartkit.stand.programme`). The
page is ``/``, with its modules and style sheets beside it; ``{token}`` in its HTML becomes the
token that everything posted carries in ``X-Stand-Token``, as ``Content-Type: application/json``.

In a saved file there is no server: ``<script type="application/json" id="saved">`` holds
``{"title": text, "items": [as from api/today, ...], "works": {key of item: work},
"sounds": {href: base64}}``. For it all modules become one script; `chartkit.stand.bundle` tells
which imports and exports it understands.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from chartkit.form import BarId
from chartkit.output.audio import RATE
from chartkit.stand.clock import Clock, Timed, clock
from chartkit.stand.drawing import (
    NARROW,
    WIDE,
    Row,
    Screen,
    page_ids,
    rows,
    without_heading,
)
from chartkit.stand.neck import Shown, shown
from chartkit.stand.parts import words_of
from chartkit.stand.work import Turn, Work


@dataclass(frozen=True, slots=True)
class Heard:
    """What the page is told of a work's stems.

    Parameters
    ----------
    parts : tuple of (str, str)
        Each part's name and address.
    frames : int
    peak : float
    """

    parts: tuple[tuple[str, str], ...]
    frames: int
    peak: float


def told(work: Work, name: str, request: Mapping[str, Any], heard: Heard) -> dict[str, Any]:
    """Return a work as JSON has it.

    Raises
    ------
    OutputError
        The engraver refuses a page.
    """
    sheet, key = work.turns[0].sheet, work.turns[0].key
    necks = shown(work)
    scales = [(start, scale) for start, scale, _ in work.scales]
    times = clock(work.performance, [_read(turn) for turn in work.turns], RATE, scales)
    return {
        "id": name,
        "kind": work.kind,
        "title": sheet.title,
        "subtitle": sheet.subtitle,
        "composer": sheet.composer,
        "caution": next((turn.sheet.caution for turn in work.turns if turn.sheet.caution), ""),
        "request": dict(request),
        "tempo": float(work.performance.tempo.at(Fraction(0))),
        "feel": work.feel,
        "key": str(key) if key else "",
        "sections": [{"label": words_of(part), "part": part} for part in work.sections],
        "bars": [bar for turn in work.pages for bar in _bars(turn)],
        "systems": [_system(row) for row in engraved(work, WIDE)],
        "narrow": [_system(row) for row in engraved(work, NARROW)],
        "shape": next((necks[scale].svg or None for _, scale in scales), None),
        "shapes": [{"name": one.name, "svg": one.svg} for one in necks.values() if one.svg],
        "sound": _sound(work, times, heard, necks),
    }


def engraved(work: Work, screen: Screen) -> tuple[Row, ...]:
    """Return the systems of all of a work's pages."""
    return tuple(
        row for turn in work.pages for row in rows(without_heading(turn.sheet), screen, turn.mark)
    )


def _read(turn: Turn) -> tuple[Fraction, Sequence[tuple[BarId, str]]]:
    ids = page_ids(turn.sheet, turn.mark)
    bars = [(m.id, name) for m, name in zip(turn.sheet.measures, ids, strict=True)]
    return turn.start, bars


def _bars(turn: Turn) -> Iterator[dict[str, Any]]:
    key = str(turn.key) if turn.key else ""
    for bar, name in _read(turn)[1]:
        yield {
            "id": name,
            "section": bar.section,
            "number": bar.number,
            "label": f"Bar {bar.number}, section {bar.section}" if bar.number else "Pickup",
            "key": key,
        }


def _system(row: Row) -> dict[str, Any]:
    return {
        "svg": row.svg,
        "bars": list(row.bars),
        "width": round(row.width, 2),
        "height": round(row.height, 2),
    }


def _sound(work: Work, times: Clock, heard: Heard, necks: Mapping[str, Shown]) -> dict[str, Any]:
    drawn = [what for what, one in necks.items() if one.svg]
    return {
        "rate": RATE,
        "frames": heard.frames,
        "start": times.start,
        "end": times.end,
        "loop": work.performance.loop,
        "peak": round(heard.peak, 4),
        "parts": [{"name": part, "href": href} for part, href in heard.parts],
        "bars": [{"bar": one.what, **_from_to(one)} for one in times.bars],
        "beats": [_rounded(beat) for beat in times.beats],
        "countIn": [_rounded(beat) for beat in times.count_in],
        "chords": [
            {
                "name": necks[one.what].name if one.what in necks else one.what,
                **_from_to(one),
                "shape": drawn.index(one.what) if one.what in drawn else None,
            }
            for one in times.chords
        ],
    }


def _from_to(one: Timed) -> dict[str, float]:
    return {"start": _rounded(one.start), "end": _rounded(one.end)}


def _rounded(seconds: float) -> float:
    """Return seconds to a microsecond, a twentieth of a frame."""
    return round(seconds, 6)
