"""What a drummer plays in the place of plain time, because of the form and the changes.

Conventions: beats are quarter notes from the arrangement's beat zero, straight. The rows of figures
come from the feel's file, each list under the name that stands for its use in capitals below. A
passage takes the place of all that lies under it while it lasts, but for what the file ``keeps``.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor
from typing import Final

from chartkit.band.bars import Bar, bars, stretches
from chartkit.band.cues import EARLY, Cue
from chartkit.band.kit import Struck, strike
from chartkit.feel import feel, patterns
from chartkit.feel.pattern import Pattern, choose_longest, strokes, vocabulary
from chartkit.track import TempoMap

TOPS: Final = "tops"
"""The first beat of a section."""

FILLS: Final = {"section": "fills", "chorus": "big_fills"}
"""The last beats of a section and of a chorus."""

PUSHES, STOPS = "pushes", "stops"
"""The beats that lead up to a push and to a stop."""

HITS: Final = "hits"
"""A push or a stop, struck with the band."""

ENDINGS: Final = "endings"
"""Under the held last chord."""


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


@dataclass(frozen=True, slots=True)
class Choice:
    """How rows are chosen: by chance, out of those that the tempo at their place allows."""

    tempo: TempoMap
    rng: random.Random

    def row(self, name: str, cue: Cue, beats: int | None = None) -> Pattern | None:
        """Return one of the longest rows of a list that last so many beats at most, if any do."""
        rows = vocabulary(cue.span.feel, "drums", name, self.tempo.at(cue.span.start))
        able = [row for row in rows if beats is None or row.beats <= beats]
        return choose_longest(able, cue.intensity, self.rng) if able else None


def passages(changes: Sequence[Cue], choice: Choice, seam: Fraction | None) -> Iterator[Passage]:
    """Yield all passages, the lowest first.

    Parameters
    ----------
    changes : sequence of Cue
    choice : Choice
    seam : Fraction or None
        Where a loop comes round, in quarter notes; None without one.
    """
    for stretch in stretches(bars(changes)):
        yield from _top(stretch[0], choice)
        yield from _fill(stretch[-1], choice)
    together = [cue for cue in changes if cue.pushed or cue.sound == "hit"]
    for cue in together:
        later = Fraction(0) if cue is not changes[0] else seam
        if later is not None:
            yield from _set_up(cue, choice, later)
    yield from (Passage(cue.start, cue.end) for cue in changes if cue.sound != "full")
    yield from (_hit(cue, choice) for cue in together)
    if seam and changes[0].pushed:
        yield Passage(seam - EARLY, seam, keeps=_keeps(changes[0]))
    yield from (_ending(cue, choice) for cue in changes if cue.sound == "held")


def over(time: Sequence[Struck], above: Sequence[Passage]) -> list[Struck]:
    """Lay passages over the time, each over all before it; return what is heard."""
    lying: dict[int, list[tuple[int, Passage]]] = defaultdict(list)
    for height, passage in enumerate(above):
        for beat in range(floor(passage.start), ceil(passage.end)):
            lying[beat].append((height, passage))
    struck = [(-1, one) for one in time]
    struck += [(height, one) for height, passage in enumerate(above) for one in passage.struck]
    return [
        one
        for own, one in struck
        if not any(
            own < height and passage.start <= one.start < passage.end
            for height, passage in lying[floor(one.start)]
            if one.thing not in passage.keeps
        )
    ]


def _top(bar: Bar, choice: Choice) -> Iterator[Passage]:
    cue = bar.cues[0]
    row = choice.row(TOPS, cue, bar.beats)
    if row and cue.sound == "full" and not cue.pushed:
        yield _passage(row, cue.span.start, cue)


def _fill(bar: Bar, choice: Choice) -> Iterator[Passage]:
    cue = bar.cues[-1]
    row = choice.row(FILLS[cue.span.ends], cue, bar.beats) if cue.span.ends else None
    if row:
        yield _passage(row, bar.end - row.beats * bar.pulse, cue)


def _set_up(cue: Cue, choice: Choice, later: Fraction) -> Iterator[Passage]:
    """Yield the beats up to the written beat of a push or a stop, as far as it has not sounded."""
    row = choice.row(PUSHES if cue.pushed else STOPS, cue)
    if row:
        whole = _passage(row, later + cue.span.start - row.beats * _pulse(cue), cue)
        until = later + cue.start
        struck = tuple(one for one in whole.struck if one.start < until)
        yield Passage(whole.start, until, struck, whole.keeps)


def _hit(cue: Cue, choice: Choice) -> Passage:
    row = choice.row(HITS, cue)
    struck = _passage(row, cue.start, cue).struck if row else ()
    if cue.sound == "hit":
        return Passage(cue.start, cue.start + EARLY, struck)
    return Passage(cue.start, cue.span.start + EARLY, struck, _keeps(cue))


def _ending(cue: Cue, choice: Choice) -> Passage:
    row = choice.row(ENDINGS, cue)
    return Passage(cue.start, cue.end, _passage(row, cue.start, cue).struck if row else ())


def _passage(row: Pattern, start: Fraction, cue: Cue) -> Passage:
    pulse = _pulse(cue)
    struck = tuple(
        strike(start + stroke.start * pulse, thing, stroke.mark, cue)
        for thing, stroke in strokes((0, row.beats, row))
    )
    return Passage(start, start + row.beats * pulse, struck, _keeps(cue))


def _keeps(cue: Cue) -> tuple[str, ...]:
    return tuple(patterns(cue.span.feel)["drums"]["keeps"])


def _pulse(cue: Cue) -> Fraction:
    return feel(cue.span.feel).pulse
