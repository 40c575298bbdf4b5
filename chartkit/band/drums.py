"""The drummer: time, comment, set-ups and fills, laid over the form.

Conventions: beats are quarter notes from the arrangement's beat zero, straight; keys are General
MIDI's percussion. All that is played stands in the feel's file as rows of figures, one figure for
each thing struck; ``o`` is soft, ``x`` plain and ``X`` accented. Layers go on all the time. Over
them, and in their place, come tops (the first beat of a section), fills (the last beats of one),
set-ups (the beats before a push or a stop), hits (where the band strikes together) and endings.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor
from typing import Any, Final

from chartkit.arrange import Arrangement
from chartkit.band.bars import Bar, bars, lay, stretches
from chartkit.band.cues import EARLY, Cue, cues
from chartkit.feel import feel, patterns
from chartkit.feel.pattern import Pattern, choose, strokes, vocabulary
from chartkit.track import Note, Track

KEYS: Final = {
    "kick": 36,
    "stick": 37,
    "snare": 38,
    "low_tom": 43,
    "tom": 47,
    "high_tom": 50,
    "closed_hat": 42,
    "hat": 44,
    "open_hat": 46,
    "crash": 49,
    "ride": 51,
    "bell": 53,
}
"""What can be struck, and its key: General MIDI 1, percussion key map. `hat` is the foot's."""

KIT: Final = 32
"""The jazz kit; sounds that have none play the standard kit in its place."""

MARKS: Final = "oxX"
"""Soft, plain, accented."""

VARIETY: Final = 4
"""A stroke is harder or softer by chance by as much, in MIDI velocity."""

QUIET, FULL = 0.8, 1.12
"""What the written levels are multiplied by in the quietest and in the fullest music."""

RING: Final = {"crash": Fraction(4), "ride": Fraction(2), "bell": Fraction(2)}
"""How long a cymbal is left to ring, in quarter notes; all else is short."""

SHORT: Final = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Struck:
    """Something struck: when, what, and how hard before chance has its say."""

    start: Fraction
    thing: str
    velocity: float


@dataclass(frozen=True, slots=True)
class Passage:
    """Strokes that take the place of all that lies under them.

    Parameters
    ----------
    start, end : Fraction
        In quarter notes.
    struck : tuple of Struck
        They may be none.
    keeps : tuple of str
        What goes on under it as before.
    """

    start: Fraction
    end: Fraction
    struck: tuple[Struck, ...] = ()
    keeps: tuple[str, ...] = ()


def play(
    arrangement: Arrangement,
    avoid: tuple[int, int] | None,  # noqa: ARG001 (all players are called alike)
    rng: random.Random,
) -> Track:
    """Return the drums of an arrangement.

    Parameters
    ----------
    arrangement : Arrangement
    avoid : tuple of int or None
        Of no concern to drums.
    rng : random.Random

    Raises
    ------
    RequestError
        A feel is not built.
    """
    changes = cues(arrangement)
    tempo, end = arrangement.tempo.steps[0][1], changes[-1].span.start + changes[-1].span.length
    passages = [*_passages(changes, tempo, rng, end if arrangement.loop else None)]
    struck = _over([*_time(changes, tempo, rng)], passages)
    notes = (_note(one, end, rng) for one in struck if changes[0].start <= one.start < end)
    return Track("drums", KIT, tuple(sorted(notes)))


def _time(changes: Sequence[Cue], tempo: Fraction, rng: random.Random) -> Iterator[Struck]:
    """Yield the strokes of the layers, as if nothing were marked in the changes."""
    for stretch in stretches(bars(changes)):
        cue = stretch[0].cues[0]
        for layer in _table(cue)["layers"]:
            rows = vocabulary(cue.span.feel, "drums", layer, tempo)
            for thing, stroke in lay(rows, stretch, rng):
                yield _struck(thing, stroke.mark, stroke.start, cue)


def _passages(
    changes: Sequence[Cue], tempo: Fraction, rng: random.Random, seam: Fraction | None
) -> Iterator[Passage]:
    """Yield all that lies over the time, the lowest first; `seam` is where a loop comes round."""
    for stretch in stretches(bars(changes)):
        yield from _top(stretch[0], tempo, rng)
        yield from _fill(stretch[-1], tempo, rng)
    together = [cue for cue in changes if cue.pushed or cue.sound == "hit"]
    for cue in together:
        over_seam = cue is changes[0]
        if seam is not None or not over_seam:
            yield from _set_up(cue, tempo, rng, seam if over_seam and seam else Fraction(0))
    for cue in changes:
        if cue.sound != "full":
            yield Passage(cue.start, cue.end)
    for cue in together:
        yield _hit(cue, tempo, rng)
    if seam and changes[0].pushed:
        yield Passage(seam - EARLY, seam, (), _keeps(changes[0]))
    yield from (_ending(cue, tempo, rng) for cue in changes if cue.sound == "held")


def _top(bar: Bar, tempo: Fraction, rng: random.Random) -> Iterator[Passage]:
    cue = bar.cues[0]
    row = _choose("tops", cue, bar.beats, tempo, rng)
    if row and cue.sound == "full" and not cue.pushed:
        yield _passage(row, cue.span.start, cue)


def _fill(bar: Bar, tempo: Fraction, rng: random.Random) -> Iterator[Passage]:
    cue = bar.cues[-1]
    name = {"section": "fills", "chorus": "big_fills"}.get(cue.span.ends)
    row = _choose(name, cue, bar.beats, tempo, rng) if name else None
    if row:
        yield _passage(row, bar.end - row.beats * bar.pulse, cue)


def _set_up(cue: Cue, tempo: Fraction, rng: random.Random, later: Fraction) -> Iterator[Passage]:
    """Yield the beats up to the written beat of a push or a stop, before it sounds."""
    row = _choose("pushes" if cue.pushed else "stops", cue, None, tempo, rng)
    if row:
        whole = _passage(row, later + cue.span.start - row.beats * _pulse(cue), cue)
        until = later + cue.start
        struck = tuple(one for one in whole.struck if one.start < until)
        yield Passage(whole.start, until, struck, whole.keeps)


def _hit(cue: Cue, tempo: Fraction, rng: random.Random) -> Passage:
    row = _choose("hits", cue, None, tempo, rng)
    struck = _passage(row, cue.start, cue).struck if row else ()
    if cue.sound == "hit":
        return Passage(cue.start, cue.start + EARLY, struck)
    return Passage(cue.start, cue.span.start + EARLY, struck, _keeps(cue))


def _ending(cue: Cue, tempo: Fraction, rng: random.Random) -> Passage:
    row = _choose("endings", cue, None, tempo, rng)
    return Passage(cue.start, cue.end, _passage(row, cue.start, cue).struck if row else ())


def _choose(
    name: str, cue: Cue, beats: int | None, tempo: Fraction, rng: random.Random
) -> Pattern | None:
    """Return a row under a name of the feel's table, of at most so many beats."""
    rows = vocabulary(cue.span.feel, "drums", name, tempo)
    able = [row for row in rows if beats is None or row.beats <= beats]
    return choose(able, cue.intensity, rng) if able else None


def _passage(row: Pattern, start: Fraction, cue: Cue) -> Passage:
    pulse = _pulse(cue)
    struck = tuple(
        _struck(thing, stroke.mark, start + stroke.start * pulse, cue)
        for thing, stroke in strokes((0, row.beats, row))
    )
    return Passage(start, start + row.beats * pulse, struck, _keeps(cue))


def _over(time: Sequence[Struck], passages: Sequence[Passage]) -> list[Struck]:
    """Lay passages over the time, each over all before it."""
    lying: dict[int, list[tuple[int, Passage]]] = defaultdict(list)
    for height, passage in enumerate(passages):
        for beat in range(floor(passage.start), ceil(passage.end)):
            lying[beat].append((height, passage))
    struck = [(-1, one) for one in time]
    struck += [(height, one) for height, passage in enumerate(passages) for one in passage.struck]
    return [
        one
        for height, one in struck
        if not any(
            height < above and passage.start <= one.start < passage.end
            for above, passage in lying[floor(one.start)]
            if one.thing not in passage.keeps
        )
    ]


def _struck(thing: str, mark: str, start: Fraction, cue: Cue) -> Struck:
    level = _table(cue)["levels"][thing][MARKS.index(mark)]
    return Struck(start, thing, level * (QUIET + (FULL - QUIET) * cue.intensity))


def _note(one: Struck, end: Fraction, rng: random.Random) -> Note:
    velocity = round(one.velocity + rng.uniform(-VARIETY, VARIETY))
    length = min(RING.get(one.thing, SHORT), end - one.start)
    return Note(one.start, length, KEYS[one.thing], max(1, min(velocity, 127)))


def _table(cue: Cue) -> dict[str, Any]:
    table: dict[str, Any] = patterns(cue.span.feel)["drums"]
    return table


def _keeps(cue: Cue) -> tuple[str, ...]:
    return tuple(_table(cue)["keeps"])


def _pulse(cue: Cue) -> Fraction:
    return feel(cue.span.feel).pulse
