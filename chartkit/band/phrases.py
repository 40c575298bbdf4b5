"""What the chord player says: figures chosen phrase by phrase.

Conventions: a phrase is up to four bars of a section. A chorus's intensity sets how full its bars
are on average; one bar of a phrase is lightly played, so that it breathes, and the third may say
the first again. Where any other figure fits, no two-bar rhythm comes more than twice running, round
the seam of a loop too, and no bar says what the bar before it says.

A feel of one rhythm (``ostinato`` in its file) is another matter: what the first two bars of a
section say goes on to its end, but for pairs of bars here and there, and where it has nothing for
one of the changes. All of this is common practice, no source.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import chain, pairwise
from typing import Final, TypeAlias

from chartkit.band.strikes import Context, Fitted, Strike, fit
from chartkit.feel import patterns
from chartkit.feel.cell import Cell, cells
from chartkit.feel.figure import Stroke
from chartkit.track import TempoMap

PHRASE: Final = 4
"""Bars in a phrase at most."""

PAIR: Final = 2
"""Bars of the rhythms that are compared."""

STROKES: Final = (1.4, 2.8)
"""Strokes in four beats, on average, in the quietest and in the fullest chorus, where a feel's file
does not say otherwise."""

THIN: Final = (200, 300)
THINNEST: Final = 0.6
BAND: Final = 10
"""Faster than the first of these tempos, in beats a minute, the strokes grow fewer; from the second
on, so large a part of them is left; in between they thin out by bands of so many beats, so that a
slight change of tempo changes no note."""

SWAY: Final = 0.4
"""A bar is so many strokes fuller or lighter than its chorus."""

USUAL: Final = 4
"""Beats in the bar that these strokes are counted for."""

LIGHT: Final = 0.5
"""Strokes in the bar where a phrase breathes."""

EARLIER: Final = 0.3
"""How often that is the last bar but one."""

WIDTH: Final = 0.8
"""How many strokes more or fewer than aimed at a figure may well have."""

ECHO: Final = 0.4
"""How often a phrase's third bar says its first again."""

OTHERWISE: Final = 0.15
"""How often two bars of a feel of one rhythm say something else."""

MANY: Final = 64
"""Of more figures than these, as two shorter ones make together, so many are thought of."""

RAREST: Final = 1e-6
"""No figure is ever ruled out, however far from what is aimed at."""

Strokes: TypeAlias = tuple[Stroke, ...]
"""One bar's part of a figure."""


def speak(
    contexts: Sequence[Context], tempo: TempoMap, rng: random.Random, *, loop: bool
) -> tuple[Strike, ...]:
    """Return all strikes of these bars in order.

    Parameters
    ----------
    contexts : sequence of Context
        The bars, in order.
    tempo : TempoMap
    rng : random.Random
    loop : bool
        The last bar leads into the first.
    """
    said: list[Fitted] = []
    for phrase in _parted(contexts):
        aims, echo = _aims(phrase, tempo, rng), rng.random() < ECHO
        figures: list[Strokes] = []
        while len(figures) < len(phrase):
            place = len(figures)
            options = _options(phrase[place:], aims[place:], rng, paired=place % PAIR == 0)
            if again := _again(figures, phrase, rng, echo=echo):
                options = chain([again], options)
            figure, fitted = _best(options, said, contexts, loop=loop)
            figures += figure
            said += fitted
    return tuple(strike for fitted in said for strike in fitted.strikes)


def hold(contexts: Sequence[Context]) -> tuple[Strike, ...]:
    """Return long plain chords: each is struck where it comes and in every bar it goes on."""
    said: list[Fitted] = []
    for context in contexts:
        whole = Stroke(Fraction(0), Fraction(context.beats), "x")
        said += _fitted(((whole,),), said, contexts)
    return tuple(
        replace(strike, length=PAIR * context.length)
        for context, fitted in zip(contexts, said, strict=True)
        for strike in fitted.strikes
    )


def _parted(contexts: Sequence[Context]) -> Iterator[Sequence[Context]]:
    """Yield phrases: up to four bars, none across a section's end or into another feel.

    In a feel of one rhythm a phrase goes on to the section's end.
    """
    start = 0
    for number, context in enumerate(contexts, 1):
        last = context.cues[-1].span
        changes = number == len(contexts) or contexts[number].cues[0].span.feel != last.feel
        full = number - start == PHRASE and not _is_ostinato(context)
        if last.ends or changes or full:
            yield contexts[start:number]
            start = number


def _is_ostinato(context: Context) -> bool:
    return bool(patterns(context.feel.name)["comping"].get("ostinato"))


def _aims(phrase: Sequence[Context], tempo: TempoMap, rng: random.Random) -> list[float]:
    """Draw how many strokes each bar should have, on average."""
    light = len(phrase) - 1 - (len(phrase) > PAIR and rng.random() < EARLIER)
    breathes = not _is_ostinato(phrase[0])
    strokes = [
        LIGHT if breathes and place == light else _fullness(one, tempo, rng)
        for place, one in enumerate(phrase)
    ]
    lengths = [float(one.length / one.feel.pulse) / USUAL for one in phrase]
    return [length * aim for length, aim in zip(lengths, strokes, strict=True)]


def _fullness(context: Context, tempo: TempoMap, rng: random.Random) -> float:
    quiet: float
    full: float
    quiet, full = patterns(context.feel.name)["comping"].get("strokes", STROKES)
    strokes = quiet + (full - quiet) * context.cues[0].intensity + rng.uniform(-SWAY, SWAY)
    return strokes * _thinned(float(tempo.at(context.start) / context.feel.pulse))


def _thinned(pace: float) -> float:
    """Return which part of the strokes is left at so many beats a minute, by bands of tempo."""
    slow, fast = THIN
    band = pace // BAND * BAND
    along = min(max(0.0, (band - slow) / (fast - slow)), 1.0)
    return 1 - (1 - THINNEST) * along


def _again(
    figures: Sequence[Strokes], phrase: Sequence[Context], rng: random.Random, *, echo: bool
) -> tuple[Strokes, ...]:
    """Return what the phrase has said and would say again now; nothing where it would not."""
    place = len(figures)
    if place and place % PAIR == 0 and _is_ostinato(phrase[0]):
        bars = phrase[place : place + PAIR]
        alike = all(one.beats == two.beats for one, two in zip(bars, phrase, strict=False))
        return tuple(figures[: len(bars)]) if alike and rng.random() >= OTHERWISE else ()
    again = echo and place == PAIR and phrase[place].beats == phrase[0].beats
    return (figures[0],) if again else ()


def _options(
    ahead: Sequence[Context], aims: Sequence[float], rng: random.Random, *, paired: bool
) -> Iterable[tuple[Strokes, ...]]:
    """Return figures for the next bar, or for two where a pair begins: the likelier, the sooner."""
    name = ahead[0].feel.name
    beats = tuple(one.beats for one in ahead[:PAIR])
    found = cells(name, beats[:1])
    if paired and len(beats) == PAIR:
        found += cells(name, beats)
    if len(found) > MANY:
        found = tuple(rng.sample(found, MANY))
    drawn = [(rng.expovariate(_weight(cell, aims)), number) for number, cell in enumerate(found)]
    return (found[number].strokes for _, number in sorted(drawn))


def _weight(cell: Cell, aims: Sequence[float]) -> float:
    misses = [(len(bar) - aim) / WIDTH for bar, aim in zip(cell.strokes, aims, strict=False)]
    return max(math.exp(-sum(miss**2 for miss in misses) / len(misses)), RAREST)


def _best(
    options: Iterable[tuple[Strokes, ...]],
    said: Sequence[Fitted],
    contexts: Sequence[Context],
    *,
    loop: bool,
) -> tuple[tuple[Strokes, ...], list[Fitted]]:
    """Return the first option that suits the changes and is fresh, or what comes nearest.

    In a feel of one rhythm nothing needs to be fresh.
    """
    tried = []
    one_rhythm = _is_ostinato(contexts[len(said)])
    for option in options:
        fitted = _fitted(option, said, contexts)
        stale = _stale([*said, *fitted], len(fitted), len(contexts), loop=loop)
        same = _same([*said[-1:], *fitted])
        stated = sum(one.stated for one in fitted)
        faults = (0, stated, 0) if one_rhythm else (stale, stated, same)
        tried.append((faults, option, fitted))
        if not any(faults):
            break
    _, option, fitted = min(tried, key=lambda one: one[0])
    return option, fitted


def _fitted(
    option: tuple[Strokes, ...], said: Sequence[Fitted], contexts: Sequence[Context]
) -> list[Fitted]:
    """Fit an option to the changes of the next bars."""
    fitted: list[Fitted] = []
    before = said[-1].strikes if said else ()
    for context, strokes in zip(contexts[len(said) :], option, strict=False):
        begun = context.cues[0].pushed or any(one.cue == context.first for one in before)
        fitted.append(fit(context, strokes, begun=begun))
        before = fitted[-1].strikes
    return fitted


def _stale(said: Sequence[Fitted], fresh: int, bars: int, *, loop: bool) -> int:
    """Count runs of one two-bar rhythm, three times over, among the last `fresh` bars.

    A form of fewer than three bars has no choice.
    """
    if bars <= PAIR:
        return 0
    runs = 0
    for start in range(len(said) - fresh - 3 * PAIR + 1, len(said)):
        run = [place % bars if loop else place for place in range(start, start + 3 * PAIR)]
        if all(0 <= place < len(said) for place in run):
            rhythms = [said[place].rhythm for place in run]
            runs += rhythms[:PAIR] == rhythms[PAIR : 2 * PAIR] == rhythms[2 * PAIR :]
    return runs


def _same(said: Sequence[Fitted]) -> int:
    """Count the bars that say just what the bar before them says."""
    return sum(one.rhythm == two.rhythm for one, two in pairwise(said))
