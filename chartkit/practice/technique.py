"""Today's technique: finger patterns, scales key after key, chords along the neck.

Conventions: keys are tonics under their customary names; they go round by pitch, so that Db and C#
are one. What goes round: patterns and positions of the warm-up; keys, families, figures and
positions of scales; keys, families and kinds of chord along the neck.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import permutations
from typing import Final

from chartkit.practice.day import Day, Slot, in_more_rounds, in_sizes
from chartkit.practice.item import PLAIN, Item
from chartkit.practice.ladder import Rung, a_little_under, best, rung
from chartkit.practice.rotation import following, keys_following, shuffled, standing
from chartkit.theory.key import WRITTEN
from chartkit.theory.pitch import NoteName

PATTERNS: Final = tuple("-".join(fingers) for fingers in permutations("1234"))
POSITIONS: Final = tuple(range(1, 13))
FAMILIES: Final = ("major", "melodic minor", "harmonic minor")
FIGURES: Final = (
    "thirds",
    "fourths",
    "fifths",
    "sixths",
    "octaves",
    "triads",
    "seventh-chords",
    "1234",
    "1235",
    "1231",
)

CHORDS: Final = (
    "triads 3-2-1",
    "sevenths 4-3-2",
    "drop-2 4-3-2-1",
    "triads 4-3-2",
    "shells 6-4-3",
    "triads 5-4-3",
    "drop-3 6-4-3-2",
    "sevenths 5-4-3",
    "drop-2 5-4-3-2",
    "triads 6-5-4",
)
"""Kinds of chord and the strings that they lie on."""

FOURTHS: Final = tuple(WRITTEN["major"][5 * n % 12] for n in range(12))
"""The twelve keys in the cycle of fourths, from C."""

A_DAY: Final = (12, 6, 4, 3, 2, 1)
"""Keys a day that cover the twelve in whole days."""

_SCALE_BEATS: Final = 20
"""A scale up and down a position in eighths, with the bar filled: the longer of its two lengths."""

_MOST_PATTERNS: Final = 4
_MOST_ALONG: Final = 6


def warm_ups(day: Day, targets: Sequence[Fraction]) -> Iterator[Slot]:
    """Yield a slot of finger patterns for each of so many seconds."""
    had = [pattern for one in day.had("warm-up") for pattern in one.kind.split()]
    patterns = following(had, PATTERNS, _MOST_PATTERNS * len(targets))
    positions = day.positions("warm-up", POSITIONS)
    for number, target in enumerate(targets):
        now = _rung(day, "warm-up")
        own = patterns[number :: len(targets)]
        item = Item("warm-up", "", "", now.tempo, position=positions[number % len(positions)])
        several = (
            day.sized(
                replace(
                    item,
                    title=f"Finger patterns {', '.join(own[:count])}",
                    kind=" ".join(own[:count]),
                    why=f"the next of the {len(PATTERNS)} orders of the fingers; {now.why}",
                )
            )
            for count in range(1, len(own) + 1)
        )
        yield Slot(target, in_more_rounds(in_sizes(several, target), target))


def scales(day: Day, targets: Sequence[Fraction]) -> Iterator[Slot]:
    """Yield a slot of scales, key after key, for each of so many seconds."""
    each = [keys_that_fit(day, target) for target in targets]
    keys = list(_next_keys(day, "scales", sum(each)))
    today: list[str] = []
    taken = {(one.family, one.kind, one.position) for one in day.lately("scales")}
    figures = day.in_turn("scales", "kind", FIGURES)
    positions = day.positions("scales", POSITIONS)
    families: list[str] = []
    for number, (target, count) in enumerate(zip(targets, each, strict=True)):
        own, keys = keys[:count], keys[count:]
        today += own
        family = _family(day, "scales", own, families)
        families.append(family)
        figure = figures[number % len(figures)]
        now = _rung(day, "scales", figure)
        item = Item(
            "scales",
            f"{family.capitalize()} scales and {_figure_words(figure)}",
            figure,
            now.tempo,
            family=family,
            keys=tuple(_written(key, family) for key in own),
            why=f"{_keys_left(day, 'scales', today)}; {now.why}",
        )
        item = _placed(item, positions[number:] + positions[:number], taken)
        plain = _plain(day, item)
        several = [day.sized(replace(item, figured=figured)) for figured in range(1, count + 1)]
        sizes = in_sizes((day.sized(plain), *several), target)
        yield Slot(target, in_more_rounds(sizes, target))


def along_the_neck(day: Day, targets: Sequence[Fraction]) -> Iterator[Slot]:
    """Yield a slot of chords along the neck for each of so many seconds."""
    had = "along the neck"
    kinds = day.in_turn(had, "kind", CHORDS)
    keys = _next_keys(day, had, _MOST_ALONG * len(targets))
    lately = {(one.kind, one.family) for one in day.lately(had)}
    today: set[tuple[str, str]] = set()
    families: list[str] = []
    for number, target in enumerate(targets):
        own = keys[number * _MOST_ALONG :][:_MOST_ALONG]
        family = _family(day, had, own[:1], families)
        families.append(family)
        kind = min(
            (*kinds[number % len(kinds) :], *kinds[: number % len(kinds)]),
            key=lambda one: ((one, family) in today, (one, family) in lately),
        )
        today.add((kind, family))
        now = _rung(day, had, kind)
        name, _, strings = kind.partition(" ")
        item = Item(
            had,
            f"{family.capitalize()}: {name.replace('-', ' ')} along the neck, strings {strings}",
            kind,
            now.tempo,
            family=family,
            why=f"the next kind of chord in turn, in the next keys; {now.why}",
        )
        several = (
            day.sized(replace(item, keys=tuple(_written(key, family) for key in own[:count])))
            for count in range(1, len(own) + 1)
        )
        yield Slot(target, in_more_rounds(in_sizes(several, target), target))


def keys_that_fit(day: Day, target: Fraction) -> int:
    """Return how many keys of scales a slot has: always as many for as much time.

    Counted at the tempo that scales begin with, so that a slow day keeps the promise too.
    """
    begin, _ = _bounds(day, "scales")
    rest = day.template.rest + day.template.count_in * 4 * 60 / begin
    for count in A_DAY:
        fits = count * _SCALE_BEATS * 60 / begin + rest <= target
        if count <= day.template.keys_a_day and fits:
            return count
    return 1


def _plain(day: Day, item: Item) -> Item:
    """Return scales without their figure, at the tempo of plain ones: what is played is noted."""
    now = _rung(day, "scales", PLAIN)
    title = f"{(item.family or '').capitalize()} scales"
    left, _, _ = item.why.rpartition("; ")
    return replace(item, title=title, kind=PLAIN, tempo=now.tempo, why=f"{left}; {now.why}")


def _figure_words(figure: str) -> str:
    """Return a figure as it is said.

    >>> _figure_words("seventh-chords"), _figure_words("1231")
    ('seventh chords', 'the figure 1-2-3-1')
    """
    return f"the figure {'-'.join(figure)}" if figure.isdigit() else figure.replace("-", " ")


def _placed(
    item: Item, positions: Sequence[int], taken: set[tuple[str | None, str, int | None]]
) -> Item:
    """Put an item in the first position in which it was not had lately, and note that it is."""
    free = (one for one in positions if (item.family, item.kind, one) not in taken)
    position = next(free, positions[0])
    taken.add((item.family, item.kind, position))
    return replace(item, position=position)


def _family(day: Day, activity: str, keys: Sequence[str], today: Sequence[str]) -> str:
    """Return the family whose turn it is; of several, the one that these keys had least."""
    had = day.had(activity)
    now = standing([*(one.family or "" for one in had), *today], FAMILIES)
    lately = {*(one.family for one in day.lately(activity)), *today[-1:]}
    order = shuffled(FAMILIES, f"{day.player} {activity} family {now.number}")
    lacking = [family for family in order if family not in now.taken]

    def times(family: str) -> int:
        return sum(
            one.family == family and not set(keys).isdisjoint(map(customary, one.keys))
            for one in had
        )

    return min(lacking, key=lambda family: (family in lately, times(family)))


def _next_keys(day: Day, activity: str, count: int) -> tuple[str, ...]:
    had = [customary(key) for one in day.had(activity) for key in one.keys]
    keys = keys_following(had, FOURTHS, min(12, count), f"{day.player} {activity}")
    return (keys * (count // 12 + 1))[:count]


def _keys_left(day: Day, activity: str, today: Sequence[str]) -> str:
    """Return where the round of keys stands after the day's keys so far, as a clause."""
    had = [customary(key) for one in day.had(activity) for key in one.keys]
    left = len(FOURTHS) - len(standing([*had, *today], FOURTHS).taken)
    if left == len(FOURTHS):
        return "the last of the twelve keys"
    return f"{left} of the twelve keys are left after these"


@cache
def customary(key: str) -> str:
    """Return the name under which a key goes round.

    >>> customary("C#")
    'Db'
    """
    return WRITTEN["major"][NoteName.parse(key.split(maxsplit=1)[0]).pitch_class]


def _written(key: str, family: str) -> str:
    mode = "major" if family == "major" else "minor"
    return WRITTEN[mode][NoteName.parse(key).pitch_class]


def _bounds(day: Day, activity: str) -> tuple[Fraction, Fraction]:
    return next((low, high) for name, low, high in day.template.tempos if name == activity)


def _rung(day: Day, activity: str, kind: str | None = None) -> Rung:
    """Return today's tempo: each figure and kind of chord has a ladder, all patterns one."""
    begin, goal = _bounds(day, activity)
    same = [one for one in day.past.tries if one.activity == activity]
    known = best(same)
    if known is not None and not any(one.kind == kind for one in same):
        begin = max(begin, min(goal, a_little_under(known, day.template)))
    return rung(
        same,
        lambda one: kind in (None, one.kind),
        begin=begin,
        goal=goal,
        day=day.day,
        template=day.template,
    )
