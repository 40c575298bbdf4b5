"""Players who practise for a year, and what their plans must be.

Import it as ``practice_years``. A player looks at the day's plan, plays it, and notes how each item
went; the log is the list of these notes. Lengths are counted by rule, which the tests of the day's
making hold against the real ones.
"""

import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from itertools import pairwise

from chartkit.practice.entry import Entry
from chartkit.practice.growth import parts
from chartkit.practice.item import PLAIN, Item, entries_of
from chartkit.practice.past import Past, past_of
from chartkit.practice.plan import Plan, plan
from chartkit.practice.technique import (
    CHORDS,
    FAMILIES,
    FIGURES,
    PATTERNS,
    POSITIONS,
    customary,
)
from chartkit.practice.tune import SectionFacts, TuneFacts

FIRST = date(2025, 1, 1)

Answer = Callable[[random.Random, Item], str]


def tune(
    name: str, form: str = "AABA", bars: int = 8, tempo: int = 140, meter: int = 4
) -> TuneFacts:
    """Return a tune of sections that are all as long."""
    beats = Fraction(bars * meter)
    return TuneFacts(
        id=name,
        title=name.replace("-", " ").title(),
        content_hash=name,
        sections=tuple(SectionFacts(label, bars, beats) for label in dict.fromkeys(form)),
        form=tuple(form),
        form_beats=beats * len(form),
        key="Bb",
        tempo=Fraction(tempo),
        feel="swing",
    )


def measure_of(tunes: list[TuneFacts]) -> Callable[[Item], tuple[Fraction, Fraction]]:
    """Return the lengths of items over these tunes."""
    known = {one.id: one for one in tunes}

    def measure(item: Item) -> tuple[Fraction, Fraction]:
        if item.activity == "warm-up":
            return Fraction(24 * len(item.kind.split())), Fraction(4)
        if item.activity == "scales":
            return Fraction(20 * len(item.keys) + 56 * item.figured), Fraction(4)
        if item.activity == "along the neck":
            each = 16 if item.kind.startswith(("triads", "shells")) else 32
            return Fraction(each * len(item.keys)), Fraction(4)
        return _part(known[item.tune or ""], item.part or "")

    return measure


def _part(facts: TuneFacts, part: str) -> tuple[Fraction, Fraction]:
    lengths = {section.label: section for section in facts.sections}
    bar = facts.sections[0].beats / facts.sections[0].bars
    if part == "form":
        return facts.form_beats, bar
    if ">" in part:
        return 4 * bar, bar
    return sum((lengths[label].beats for label in part.split()), Fraction(0)), bar


def every_day(_rng: random.Random, _number: int) -> bool:
    """Come every day."""
    return True


def most_days(rng: random.Random, _number: int) -> bool:
    """Come on three days of five, by chance."""
    return rng.random() < 0.6


def three_days_a_week(_rng: random.Random, number: int) -> bool:
    """Come every other day, and not at weekends."""
    return number % 7 in (0, 2, 4)


def always_clean(_rng: random.Random, _item: Item) -> str:
    """Answer as somebody to whom all is easy."""
    return "clean"


def mostly(rng: random.Random, _item: Item) -> str:
    """Answer as somebody who forgets to note things too."""
    return rng.choice(["clean"] * 5 + ["not yet", "done", ""])


def slowly(rng: random.Random, item: Item) -> str:
    """Answer as somebody who finds it hard: the faster, the more often not yet."""
    if item.tune is None:
        return "clean" if rng.random() < 0.6 else "not yet"
    return "clean" if rng.random() < 1.3 - 0.9 * float(item.tempo) / 140 else "not yet"


@dataclass
class Player:
    """A way of practising."""

    name: str
    comes: Callable[[random.Random, int], bool] = every_day
    answer: Answer = always_clean
    tunes: int = 1
    minutes: int = 10


@dataclass
class Year:
    """Every plan of a year, and what was noted."""

    player: Player
    tunes: list[TuneFacts]
    plans: list[Plan] = field(default_factory=list)
    entries: list[Entry] = field(default_factory=list)


PLAYERS = (
    Player("perfect"),
    Player("forgetful", most_days, mostly),
    Player("three days a week", three_days_a_week),
    Player("slow", answer=slowly),
    Player("ten tunes", tunes=10),
)

FORMS = ("AABA", "ABAC", "AB", "A", "ABCD", "AAB")


def year_of(player: Player, days: int = 365, seed: int = 1, **options: object) -> Year:
    """Let a player practise for so many days."""
    rng = random.Random(seed)
    tunes = [
        tune(f"tune-{n}", FORMS[n % len(FORMS)], 12 if FORMS[n % len(FORMS)] == "A" else 8)
        for n in range(player.tunes)
    ]
    measure = measure_of(tunes)
    year = Year(player, tunes)
    past = Past()
    for number in range(days):
        if not player.comes(rng, number):
            continue
        day = FIRST + timedelta(days=number)
        made = plan(day, player.minutes, tunes, past, measure, **options)
        year.plans.append(made)
        noted = []
        for place, item in enumerate(made.items):
            result = player.answer(rng, item)
            if result:
                at = datetime.combine(day, time(18, place % 60), UTC)
                noted += entries_of(item, made.player, day, at, result)
        past += past_of(day + timedelta(days=1), noted, [(day, made.items)])
        year.entries += noted
    return year


def shares_used(year: Year) -> list[Fraction]:
    """Return how much of its budget each day uses."""
    return [one.seconds / (60 * one.minutes) for one in year.plans]


def repeated(year: Year) -> list[tuple[object, ...]]:
    """Return combinations that come on two days running, or twice in a day in one turn."""
    found = []
    for one, two in pairwise(year.plans):
        found += {i.combination for i in one.items} & {i.combination for i in two.items}
    for one in year.plans:
        counted = Counter(i.combination for i in one.items if i.turn == 1)
        found += [combination for combination, times in counted.items() if times > 1]
    return found


def days_for_twelve(year: Year) -> list[int]:
    """Return in how many practised days each round of twelve keys of scales was complete."""
    counts, seen, days = [], set(), 0
    for one in year.plans:
        keys = [customary(key) for i in one.items if i.activity == "scales" for key in i.keys]
        if not keys:
            continue
        days += 1
        for key in keys:
            seen.add(key)
            if len(seen) == 12:
                counts.append(days)
                seen, days = set(), 0
    return counts


def broken_rounds(year: Year) -> list[tuple[str, str, int]]:
    """Return the rounds of what goes round that have something twice before all have come.

    Scales on a day with no time for a figure take no place in the round of figures.
    """
    found = []
    for (activity, name), whole in ROUNDS.items():
        had = [
            value
            for one in year.plans
            for item in one.items
            if item.activity == activity
            for value in _values(item, name)
            if value != PLAIN
        ]
        starts = range(0, len(had) - whole + 1, whole)
        found += [
            (activity, name, first)
            for first in starts
            if len(set(had[first : first + whole])) < whole
        ]
    return found


ROUNDS = {
    ("warm-up", "kind"): len(PATTERNS),
    ("warm-up", "position"): len(POSITIONS),
    ("scales", "keys"): 12,
    ("scales", "family"): len(FAMILIES),
    ("scales", "kind"): len(FIGURES),
    ("scales", "position"): len(POSITIONS),
    ("along the neck", "keys"): 12,
    ("along the neck", "family"): len(FAMILIES),
    ("along the neck", "kind"): len(CHORDS),
}
"""What goes round, and how many there are of it."""


def _values(item: Item, name: str) -> list[object]:
    if name == "keys":
        return [customary(key) for key in item.keys]
    if item.activity == "warm-up" and name == "kind":
        return list(item.kind.split())
    return [getattr(item, name)]


def order_kept(year: Year) -> bool:
    """Tell whether each tune's parts are met in the order in which they are learned."""
    for facts in year.tunes:
        order = parts(facts)
        met = dict.fromkeys(
            i.part
            for one in year.plans
            for i in one.items
            if i.tune == facts.id and i.activity in ("arpeggios", "vocabulary")
        )
        if list(met) != list(order[: len(met)]):
            return False
    return True


def day_of_form(year: Year) -> list[int | None]:
    """Return on which day of the year each tune's whole form was due for the first time."""
    found: list[int | None] = []
    for facts in year.tunes:
        days = (
            (one.day - FIRST).days + 1
            for one in year.plans
            for i in one.items
            if i.tune == facts.id and i.part == "form" and i.activity == "arpeggios"
        )
        found.append(next(days, None))
    return found
