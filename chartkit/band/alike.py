"""Passes that sound alike: one of them is played by itself, as a loop, and heard again and again.

Conventions: beats are quarter notes from the arrangement's beat zero, straight. Passes of mostly
the same bars share a model, one of them. Where a pass differs from its model (an intro, an ending,
the bar that leads there) it is played as it would be anyhow; `chartkit.band.joints` tells where the
two versions meet. A pass in a key of its own is its own model: what it shares with the others is
the chance that it is played with.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise
from operator import attrgetter
from typing import TypeAlias

from chartkit.arrange import Arrangement, Pass
from chartkit.band.joints import EARLY, Choice, met
from chartkit.harmony import Span
from chartkit.track import Note, TempoMap, Track

Player: TypeAlias = Callable[[Arrangement], Track]
"""Plays an arrangement with its chance begun anew."""

Bar: TypeAlias = tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class _Model:
    """A pass by itself, from its own beat zero: its bars, and a part's notes in each of them."""

    bars: tuple[Bar, ...]
    notes: tuple[tuple[Note, ...], ...]


def play_alike(arrangement: Arrangement, player: Player) -> Track:
    """Return a part in which passes of the same bars have the same notes."""
    whole = player(arrangement)
    bodies = [_body(one) for one in arrangement.passes]
    chosen = _models(bodies)
    models = {n: _model(arrangement, n, bodies[n], player) for n in {*chosen}}
    liked = {
        bar[0].start: (models[n], place)
        for n, body in zip(chosen, bodies, strict=True)
        for place, (bar, other) in enumerate(zip(body, models[n].bars, strict=False))
        if _says(bar) == _says(other)
    }
    choices = [*_choices(arrangement, whole.notes, liked)]
    if not arrangement.loop:
        return replace(whole, notes=tuple(sorted(met(choices, whole.part))))
    length = arrangement.passes[-1].end
    notes = met(_from_unfree(choices), whole.part)
    return replace(whole, notes=tuple(sorted(_over_the_seam(note, length) for note in notes)))


def _over_the_seam(note: Note, length: Fraction) -> Note:
    """Return a note as a loop has it: before beat zero if it rings over the loop's end."""
    return _moved(note, -length if note.end > length else Fraction(0))


def _body(one: Pass) -> tuple[Bar, ...]:
    """Return the bars of a time round proper."""
    first, end = one.start + one.opening, one.end - one.closing
    return _bars([span for span in one.spans if first <= span.start < end])


def _bars(spans: Sequence[Span]) -> tuple[Bar, ...]:
    return tuple(tuple(own) for _, own in groupby(spans, key=attrgetter("bar_start")))


def _says(bar: Bar) -> Bar:
    """Return a bar as it would be at beat zero."""
    return _later(bar, -bar[0].bar_start)


def _later(spans: Sequence[Span], beats: Fraction) -> Bar:
    return tuple(
        replace(span, start=span.start + beats, bar_start=span.bar_start + beats) for span in spans
    )


def _models(bodies: Sequence[Sequence[Bar]]) -> list[int]:
    """Return for each pass the one that is its model: the middle one of those mostly like it."""
    said = [[_says(bar) for bar in body] for body in bodies]
    groups: list[list[int]] = []
    for number, bars in enumerate(said):
        for group in groups:
            same = sum(one == two for one, two in zip(said[group[0]], bars, strict=False))
            if 2 * same > max(len(bars), len(said[group[0]])):
                group.append(number)
                break
        else:
            groups.append([number])
    found = {n: group[(len(group) - 1) // 2] for group in groups for n in group}
    return [found[number] for number in range(len(bodies))]


def _model(arrangement: Arrangement, number: int, body: Sequence[Bar], player: Player) -> _Model:
    one = arrangement.passes[number]
    first = body[0][0].bar_start
    bars = _bars(_later([span for bar in body for span in bar], -first))
    length = one.end - one.closing - first
    accents = (replace(accent, start=accent.start - first) for accent in one.accents)
    alone = replace(
        one,
        spans=tuple(span for bar in bars for span in bar),
        start=Fraction(0),
        length=length,
        accents=tuple(a for a in accents if -EARLY <= a.start < length - EARLY),
        opening=Fraction(0),
        closing=Fraction(0),
    )
    tempo = arrangement.tempo.at(one.start)
    notes = player(_by_itself(arrangement, alone, tempo)).notes
    return _Model(bars, tuple(_parted(notes, _edges(bars, length + _edge(bars[0])))))


def _by_itself(arrangement: Arrangement, one: Pass, at: Fraction) -> Arrangement:
    """Return an arrangement in which one pass goes round and round, at one tempo."""
    tempo = TempoMap(((Fraction(0), at),))
    return replace(
        arrangement,
        passes=(one,),
        lead_in=(),
        count_in=Fraction(0),
        tail=(),
        loop=True,
        tempo=tempo,
        markers=(),
    )


def _edge(bar: Bar) -> Fraction:
    """Return where a bar begins to sound: before its first beat where that is pushed."""
    return bar[0].start - EARLY if bar[0].pushed else bar[0].start


def _edges(bars: Sequence[Bar], end: Fraction) -> list[Fraction]:
    return [*map(_edge, bars), end]


def _parted(notes: Sequence[Note], edges: Sequence[Fraction]) -> Iterator[tuple[Note, ...]]:
    """Yield the notes that are struck from each edge up to the next; they may go round."""
    round_trip = edges[-1] - edges[0]
    ordered = sorted(_moved(note, round_trip * (note.start < edges[0])) for note in notes)
    places = [bisect_left(ordered, edge, key=attrgetter("start")) for edge in edges]
    yield from (tuple(ordered[first:last]) for first, last in pairwise(places))


def _moved(note: Note, beats: Fraction) -> Note:
    return replace(note, start=note.start + beats)


def _choices(
    arrangement: Arrangement, notes: Sequence[Note], liked: Mapping[Fraction, tuple[_Model, int]]
) -> Iterator[Choice]:
    """Yield every bar in its own version and in its model's."""
    bars = _bars((*arrangement.lead_in, *arrangement.spans, *arrangement.tail))
    last = bars[-1][-1]
    edges = _edges(bars, last.start + last.length + (_edge(bars[0]) if arrangement.loop else 0))
    likes = [liked.get(bar[0].start) for bar in bars]
    following = [*likes[1:], likes[0] if arrangement.loop else None]
    for bar, own, edge, like, after in zip(
        bars, _parted(notes, edges), pairwise(edges), likes, following, strict=True
    ):
        if like is None:
            yield Choice(*edge, own)
        else:
            model, place = like
            shift = bar[0].bar_start - model.bars[place][0].bar_start
            said = tuple(_moved(note, shift) for note in model.notes[place])
            free = after is not None and after == (model, (place + 1) % len(model.bars))
            yield Choice(*edge, own, said, free=free)


def _from_unfree(choices: Sequence[Choice]) -> Sequence[Choice]:
    """Return choices that go round so that the first is not free, where there is such a one."""
    first = next((n for n, one in enumerate(choices) if not one.free), 0)
    return [*choices[first:], *choices[:first]]
