"""The pitches of a bass line: which may stand on each beat, and the cheapest line through them.

Conventions: pitches are MIDI note numbers, distances semitones. A pitch outside chord and scale may
only pass: it is come to and left by semitones in one direction. All figures are in
`chartkit.band.bass_costs`.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final, Literal, TypeAlias

from chartkit.band.bass_costs import (
    AVOIDED,
    BROKEN,
    CHANCE,
    HIGH,
    HOME,
    LEAD,
    LEAP,
    LOW,
    MOVE,
    OCTAVE,
    REPEAT_IN_PEDAL,
    RIM,
    SCALE_BY_SKIP,
    SKIP,
    TONE,
)
from chartkit.band.beats import FREE, Beat, Duty, repeats
from chartkit.band.contour import Move
from chartkit.band.path import Link, least
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree
from chartkit.theory.scale import Scale

Window: TypeAlias = tuple[int, int] | None
"""A register to keep out of where the rules leave a choice; MIDI numbers, both included."""

Role: TypeAlias = Literal["bass", "root", "third", "fifth", "seventh", "scale", "outside"]

Manner: TypeAlias = Literal["any", "step", "pass", "outside"]
"""How a note is come to and left: by any move, rather by step, in passing only, or as a lead from
outside the scale."""

Tie: TypeAlias = Literal["plain", "bar", "lead", "pedal", "free"]
"""How a note hangs on the one before it."""

MARKED: Final[dict[str, Role]] = {"1": "bass", "3": "third", "5": "fifth", "7": "seventh"}
"""What a figure asks for by number."""

PLACES: Final[tuple[Duty, ...]] = ("top", "strong", "weak")


@dataclass(frozen=True, slots=True, eq=False)
class Options:
    """The pitches that may stand on a beat, what each costs, and how it is come to and left."""

    pitches: tuple[int, ...]
    costs: tuple[float, ...]
    manners: tuple[Manner, ...]


def line(
    beats: Sequence[Beat], avoid: Window, rng: random.Random, *, closed: bool
) -> tuple[int, ...]:
    """Return a pitch for every beat: the cheapest line, with chance in its costs.

    Parameters
    ----------
    beats : sequence of Beat
    avoid : tuple of int or None
        A register to keep out of where the rules leave a choice.
    rng : random.Random
    closed : bool
        The last beat leads into the first.
    """
    if not beats:
        return ()
    options = [_options_at(beat, avoid) for beat in beats]
    layers = [[cost + CHANCE * rng.random() for cost in one.costs] for one in options]
    strict = [*_links(beats, options, closed=closed, strict=True)]
    found = least(layers, strict, closed=closed)
    if found is None:
        loose = [*_links(beats, options, closed=closed, strict=False)]
        found = least(layers, loose, closed=closed)
    assert found is not None, "without its rules a line always gets through"
    return tuple(one.pitches[number] for one, number in zip(options, found, strict=True))


def _links(
    beats: Sequence[Beat], options: Sequence[Options], *, closed: bool, strict: bool
) -> Iterator[Link]:
    seam = [(beats[-1], beats[0])] if closed else []
    ends = [(options[-1], options[0])] if closed else []
    for (before, beat), (one, two) in zip(
        [*pairwise(beats), *seam], [*pairwise(options), *ends], strict=True
    ):
        yield _link(one, two, _tie(before, beat), strict)


def _tie(before: Beat, beat: Beat) -> Tie:
    if not beat.joined:
        return "free"
    if before.duty == "lead":
        return "lead"
    if before.cue.pedal and beat.cue.pedal and before.cue.bass == beat.cue.bass:
        return "pedal"
    if beat.crosses and not repeats(beat.cue.span.feel):
        return "bar"
    again = before.mark == beat.mark != FREE and before.cue.span.chord == beat.cue.span.chord
    return "pedal" if again else "plain"


def _options_at(beat: Beat, avoid: Window) -> Options:
    span = beat.cue.span
    assert span.chord is not None, "a beat sounds a chord"
    return _options(span.chord, span.scale, beat.duty, beat.mark, target=beat.target, avoid=avoid)


@lru_cache(maxsize=4096)
def _options(
    chord: Chord, scale: Scale | None, duty: Duty, mark: str, *, target: int | None, avoid: Window
) -> Options:
    """Return the pitches that a duty leaves over a chord."""
    roles = _roles(chord, scale)
    rows = [
        (pitch, cost + _register(pitch, avoid), _manner(duty, roles[pitch % OCTAVE]))
        for pitch in range(LOW, HIGH + 1)
        if (cost := _fit(pitch, duty, mark, target, roles)) is not None
    ]
    return Options(*zip(*rows, strict=True))


def _manner(duty: Duty, role: Role) -> Manner:
    if role == "outside":
        return "outside" if duty == "lead" else "pass"
    return "step" if role == "scale" and duty != "lead" else "any"


def _fit(
    pitch: int, duty: Duty, mark: str, target: int | None, roles: dict[int, Role]
) -> float | None:
    """Return what a pitch costs on a beat, in any octave; None where it may not stand."""
    role = roles[pitch % OCTAVE]
    if duty in ("root", "pedal"):
        return 0.0 if role == "bass" else None
    if target is not None:
        near = any((pitch - target - distance) % OCTAVE == 0 for distance in LEAD)
        return 0.0 if near else None
    wanted = MARKED.get(mark)
    if wanted in roles.values() and wanted != role:
        return None
    return TONE[role][PLACES.index(duty)]


def _roles(chord: Chord, scale: Scale | None) -> dict[int, Role]:
    """Return what each pitch class is to a chord."""
    roles: dict[int, Role] = dict.fromkeys(range(OCTAVE), "outside")
    roles |= dict.fromkeys(scale.pitch_classes if scale else (), "scale")
    root = chord.root.pitch_class
    named: tuple[tuple[Role, Degree | None], ...] = (
        ("seventh", chord.seventh),
        ("fifth", chord.fifth),
        ("third", chord.third),
    )
    for role, degree in named:
        if degree:
            roles[(root + degree.semitones) % OCTAVE] = role
    return roles | {root: "root"} | {chord.lowest.pitch_class: "bass"}


def _register(pitch: int, avoid: Window) -> float:
    low, high = HOME
    outside = max(low - pitch, pitch - high, 0)
    return RIM * outside**2 + (AVOIDED if avoid and avoid[0] <= pitch <= avoid[1] else 0.0)


@lru_cache(maxsize=4096)
def _link(one: Options, two: Options, tie: Tie, strict: bool) -> Link:
    """Return the moves between two beats' pitches; when `strict`, none that breaks a rule."""
    link = []
    for pitch, manner in zip(one.pitches, one.manners, strict=True):
        moves: dict[Move, list[tuple[int, float]]] = defaultdict(list)
        for number, (target, wanted) in enumerate(zip(two.pitches, two.manners, strict=True)):
            distance, manners = target - pitch, (manner, wanted)
            broken = [*_broken(distance, tie, manners)]
            if not (broken and strict):
                cost = _cost(distance, tie, manners) + sum(BROKEN[rule] for rule in broken)
                moves[_kind(distance, tie, manner)].append((number, cost))
        link.append(tuple((move, tuple(targets)) for move, targets in moves.items()))
    return tuple(link)


def _broken(distance: int, tie: Tie, manners: tuple[Manner, Manner]) -> Iterator[str]:
    """Yield the rules that a move breaks."""
    if abs(distance) > OCTAVE:
        yield "octave"
    if tie == "lead" and -distance not in LEAD:
        yield "lead"
    if tie == "bar" and distance == 0:
        yield "repeat"
    if "pass" in manners and abs(distance) != 1:
        yield "passing"


def _cost(distance: int, tie: Tie, manners: tuple[Manner, Manner]) -> float:
    if tie == "lead" and -distance in LEAD:
        return LEAD[-distance][manners[0] == "outside"]
    if tie == "pedal" and distance == 0:
        return REPEAT_IN_PEDAL
    skips = manners.count("step") if abs(distance) >= SKIP else 0
    return MOVE[min(abs(distance), OCTAVE)] + SCALE_BY_SKIP * skips


def _kind(distance: int, tie: Tie, manner: Manner) -> Move:
    if tie == "free":
        return Move.FREE
    if distance == 0:
        return Move.SAME
    if manner == "pass":
        return Move.ON_UP if distance > 0 else Move.ON_DOWN
    if abs(distance) >= LEAP:
        return Move.LEAP_UP if distance > 0 else Move.LEAP_DOWN
    return Move.UP if distance > 0 else Move.DOWN
