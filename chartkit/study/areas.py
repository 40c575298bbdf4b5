"""Key areas: where the changes leave the key of the tune, and for which key.

Method (our own weighing of common practice; no source): every standing chord is given one of the
candidate keys so that all of them together cost the fewest points. A chord costs `POINTS` for its
role in its key, and `AWAY` where that is not the home key, for each bar that it lasts. A change of
key costs `LEAVING`, and `TORN` more where it parts a dominant from a chord a fourth above it, or a
ii from its dominant; where the tune's own key changes, going along with it is free. In a loop the
last chord and the first are neighbours.

An area away from home holds its tonic chord: a major chord without a minor seventh, or a minor
chord that does not go up a fourth to a dominant, as a ii does. The home key is each section's
written one, or the estimated one; the candidates are the home keys and those of the tonic chords.

The cheapest way is found by dynamic programming over the chords; in a loop once for each key that
the first chord may have. A state is a key and whether the area may be left, because its tonic has
been heard or it is at home. Of equally cheap ways to a state, staying in a key is taken.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby, pairwise
from math import inf
from operator import itemgetter
from typing import Final, TypeAlias

from chartkit.harmony import Span
from chartkit.study.functions import View, is_second
from chartkit.study.numerals import Role, numeral
from chartkit.study.standing import Around, Standing, standings, surroundings
from chartkit.theory.chord_scale import Kind, kind
from chartkit.theory.key import Key, Mode

POINTS: Final[Mapping[Role, int]] = {
    "diatonic": 0,
    "blues": 0,
    "secondary dominant": 4,
    "related ii": 4,
    "tritone substitute": 4,
    "diminished": 4,
    "borrowed": 4,
    "chromatic": 10,
}
"""What a bar of each role costs."""

AWAY: Final = 1
"""What a bar away from the home key costs besides."""

LEAVING: Final = 5
TORN: Final = 3
"""What a change of key costs, and how much more it does within a cadence."""

Points: TypeAlias = Fraction | float
"""Exact, but infinite where a way is not allowed."""

State: TypeAlias = tuple[int, bool]
"""A key, and whether its area may be left."""

Way: TypeAlias = tuple[Points, tuple[State, ...]]
"""What it costs, and its states."""

_TONICS: Final[Mapping[Kind, Mode]] = {"major": "major", "minor": "minor"}


@dataclass(frozen=True, slots=True)
class Area:
    """A stretch of music in one key.

    Parameters
    ----------
    key : Key
    spans : tuple of int
        Indexes of its spans in order of time, N.C. included; over the seam of a loop they start
        again from the front.
    """

    key: Key
    spans: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """A standing chord as the search sees it; candidate keys are named by their indexes.

    Parameters
    ----------
    costs : tuple of Fraction
        Points in each candidate key.
    settles : tuple of bool
        Whether it is at home in the key, or its tonic chord.
    home : int
    change : int
        Points of a change of key on the way to it.
    """

    costs: tuple[Fraction, ...]
    settles: tuple[bool, ...]
    home: int
    change: int


def areas(keys: Sequence[Key], *, loop: bool) -> tuple[Area, ...]:
    """Return the key areas, one after the other, from the key of each span.

    In a loop an area may go over the seam, and comes last then.
    """
    found = [
        Area(key, tuple(index for index, _ in group))
        for key, group in groupby(enumerate(keys), key=itemgetter(1))
    ]
    if loop and len(found) > 1 and found[0].key == found[-1].key:
        first, last = found.pop(0), found.pop()
        found.append(Area(first.key, last.spans + first.spans))
    return tuple(found)


def key_by_span(spans: Sequence[Span], *, loop: bool) -> tuple[Key, ...]:
    """Return the key of the area that each span lies in.

    N.C. lies in the key of the chord before it; before the first chord, in its own section's.
    """
    chords = standings(spans, loop=loop)
    found = _cheapest_keys(spans, chords, loop=loop)
    held = {index: key for one, key in zip(chords, found, strict=True) for index in one.spans}
    last: Key | None = None
    keys: list[Key] = []
    for index, span in enumerate(spans):
        last = held.get(index, last)
        keys.append(last or span.key)
    return tuple(keys)


def blues_keys(spans: Sequence[Span], chords: Sequence[Standing]) -> frozenset[Key]:
    """Return the home keys whose first chord on the tonic is a dominant seventh."""
    first: dict[Key, Kind] = {}
    for one in chords:
        home = spans[one.spans[0]].key
        if one.chord.root.pitch_class == home.tonic.pitch_class:
            first.setdefault(home, kind(one.chord))
    return frozenset(home for home, found in first.items() if found == "dominant")


def candidates(spans: Sequence[Span], chords: Sequence[Standing], *, loop: bool) -> tuple[Key, ...]:
    """Return the keys that may be given, the home keys first, each in the order it comes."""
    homes = dict.fromkeys(spans[one.spans[0]].key for one in chords)
    by_sound = {_sound(home): home for home in homes}
    for around in surroundings(chords, loop=loop):
        mode = _tonic_mode(around)
        if mode:
            key = Key.written(around.chord.root.pitch_class, mode)
            by_sound.setdefault(_sound(key), key)
    return tuple(by_sound.values())


def steps(spans: Sequence[Span], chords: Sequence[Standing], *, loop: bool) -> tuple[Step, ...]:
    """Return what the search weighs, a step for each standing chord."""
    keys, blues = candidates(spans, chords, loop=loop), blues_keys(spans, chords)
    found = []
    for one, around in zip(chords, surroundings(chords, loop=loop), strict=True):
        home = spans[one.spans[0]].key
        bars = sum((spans[i].length / spans[i].meter.length for i in one.spans), Fraction(0))
        tonic = (around.chord.root.pitch_class, _tonic_mode(around))
        found.append(
            Step(
                costs=tuple(bars * _points(around, key, home, blues) for key in keys),
                settles=tuple(key == home or _sound(key) == tonic for key in keys),
                home=keys.index(home),
                change=LEAVING + (TORN if _is_led_to(around) else 0),
            )
        )
    return tuple(found)


def _sound(key: Key) -> tuple[int, Mode]:
    return key.tonic.pitch_class, key.mode


def _tonic_mode(around: Around) -> Mode | None:
    """Return the mode of the key that the chord can be the tonic of, if there is one."""
    is_ii = around.goes(5) and around.goal is not None and kind(around.goal) == "dominant"
    found = _TONICS.get(kind(around.chord))
    return None if found == "minor" and is_ii else found


def _points(around: Around, key: Key, home: Key, blues: frozenset[Key]) -> int:
    at_home = key == home
    role = numeral(View(around, key, at_home and key in blues)).role
    return POINTS[role] + (0 if at_home else AWAY)


def _is_led_to(around: Around) -> bool:
    """Tell whether the chord before leads to this one up a fourth, as V to I or ii to V."""
    before = around.before
    if before is None or not Around(before, goal=around.chord).goes(5):
        return False
    return kind(before) == "dominant" or (is_second(before) and kind(around.chord) == "dominant")


def _cheapest_keys(
    spans: Sequence[Span], chords: Sequence[Standing], *, loop: bool
) -> Iterator[Key]:
    keys = candidates(spans, chords, loop=loop)
    return (keys[choice] for choice in cheapest(steps(spans, chords, loop=loop), loop=loop))


def cheapest(steps: Sequence[Step], *, loop: bool) -> tuple[int, ...]:
    """Return the key at each step that is cheapest in all.

    Parameters
    ----------
    steps : sequence of Step
        Every key settles somewhere.
    loop : bool
        The first step is reached from the last one.
    """
    if not steps:
        return ()
    first = steps[0]
    entries = [(key, first.settles[key]) for key in range(len(first.costs))]
    if not loop:
        way = _way(steps, entries, lambda state: 0 if state[1] else inf)
    else:
        carried = [(key, True) for key, settled in entries if not settled]
        ways = (_round(steps, entry) for entry in (*entries, *carried))
        way = min(ways, key=itemgetter(0))
    return tuple(key for key, _ in way[1])


def _round(steps: Sequence[Step], entry: State) -> Way:
    """Return the cheapest way round that begins in a state.

    An entry that is settled without its first step settling it has the tonic at the other side of
    the seam, so the way must end in that area and with the tonic heard.
    """
    first, last = steps[0], steps[-1]
    start, settled = entry
    carried = settled and not first.settles[start]

    def leave(state: State) -> Points:
        if state[0] == start:
            return inf if carried and not state[1] else 0
        if carried or not state[1]:
            return inf
        return 0 if (state[0], start) == (last.home, first.home) else first.change

    return _way(steps, [entry], leave)


def _way(steps: Sequence[Step], entries: Sequence[State], leave: Callable[[State], Points]) -> Way:
    """Return the cheapest way from one of some states; `leave` is what it costs to end in one."""
    totals: dict[State, Points] = {state: steps[0].costs[state[0]] for state in entries}
    came: list[dict[State, State]] = []
    for before, step in pairwise(steps):
        reached: dict[State, Points] = {}
        origins: dict[State, State] = {}
        for state, key, change in _moves(totals, before, step):
            new = (key, step.settles[key] or (key == state[0] and state[1]))
            total = totals[state] + change + step.costs[key]
            if new not in reached or total < reached[new]:
                reached[new], origins[new] = total, state
        totals = reached
        came.append(origins)
    ends = {state: total + leave(state) for state, total in totals.items()}
    way = [min(ends, key=ends.__getitem__)]
    for origins in reversed(came):
        way.append(origins[way[-1]])
    return ends[way[0]], tuple(reversed(way))


def _moves(
    totals: Mapping[State, Points], before: Step, step: Step
) -> Iterator[tuple[State, int, int]]:
    """Yield the moves worth trying: from a state to a key at a cost.

    Whatever a change of key goes to, it comes from the cheapest state that may be left.
    """
    for state in totals:
        yield state, state[0], 0
    settled = [state for state in totals if state[1]]
    if (before.home, True) in settled:
        yield (before.home, True), step.home, 0
    if settled:
        nearest = min(settled, key=totals.__getitem__)
        yield from ((nearest, key, step.change) for key in range(len(step.costs)))
