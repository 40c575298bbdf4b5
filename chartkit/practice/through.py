"""Today's work on a tune: lines through the part that is due, and solos over the form.

What goes round: the lines of an activity; once the whole form is there, positions; then keys. Two
phrases that are new and alike never come on one day.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product
from typing import Final

from chartkit.practice import growth
from chartkit.practice.day import Day, PhraseFacts, Slot, in_rounds
from chartkit.practice.entry import FORM
from chartkit.practice.growth import BEYOND, Stage
from chartkit.practice.item import Item
from chartkit.practice.ladder import Rung, a_little_under, best, rounded, rung
from chartkit.practice.lines import names
from chartkit.practice.returning import Due
from chartkit.practice.rotation import keys_following
from chartkit.practice.technique import FOURTHS, POSITIONS, customary
from chartkit.practice.tune import TuneFacts
from chartkit.theory.key import WRITTEN
from chartkit.theory.pitch import NoteName

BANDS: Final = ("with the band", "with bass and drums", "trading fours with the band")
"""How the band plays behind a solo."""

TOO_LONG: Final = Fraction(3, 2)
"""A solo goes over the whole form unless that is so many times as long as its share."""

KEYS_COME: Final = BEYOND.index("new keys")
LINES_COME: Final = BEYOND.index("harder lines")


@dataclass(frozen=True, slots=True)
class Under:
    """A tune with where it stands.

    Parameters
    ----------
    tune : TuneFacts
    goal : Fraction
        The tempo to reach, in quarter notes a minute.
    stage : Stage
    due : Due or None
        When it comes back, where it is finished.
    """

    tune: TuneFacts
    goal: Fraction
    stage: Stage
    due: Due | None = None


def lines(day: Day, activity: str, tune: Under, targets: Sequence[Fraction]) -> Iterator[Slot]:
    """Yield a slot of lines for each of so many seconds.

    Parameters
    ----------
    day : Day
    activity : {"arpeggios", "vocabulary"}
    tune : Under
    targets : sequence of Fraction
    """
    level = 1 if tune.stage.beyond >= LINES_COME else 0
    by_kind = {one.title: one for one in day.phrases} if activity == "vocabulary" else {}
    known = {one.kind for one in day.had(activity)}
    kinds = day.in_turn(activity, "kind", (*by_kind, *names(activity, level)))
    taken = {one.combination for one in day.lately(activity)}
    keys = _keys(day, activity, tune, len(targets))
    used: set[str] = set()
    for number, target in enumerate(targets):
        part, why = _part(tune, number)
        now = _rung(day, activity, tune, part)
        home = Item(activity, "", "", now.tempo, tune.tune.id, part, keys=(keys[number],))
        for position, kind in product(_positions(day, activity, tune), _fresh(kinds, used)):
            phrase = by_kind[kind].id if kind in by_kind else ""
            item = replace(home, kind=kind, phrase=phrase, position=position)
            fits = (tune.tune.id, part, kind) not in day.without
            fits &= kind in known or not _mixes_up(by_kind.get(kind), by_kind, used - known)
            if fits and item.combination not in taken:
                break
        else:
            continue
        taken.add(item.combination)
        used.add(item.kind)
        item = replace(
            item,
            title=f"{_first_up(item.kind)} through {_words(part)} of {tune.tune.title}",
            why=f"{why}; {now.why}",
        )
        yield Slot(target, in_rounds(day.sized(item), target))


def _mixes_up(
    phrase: PhraseFacts | None, by_kind: Mapping[str, PhraseFacts], new: Iterable[str]
) -> bool:
    """Tell whether a phrase is like another one that today has already, new as well."""
    return phrase is not None and any(
        by_kind[kind].id in phrase.like for kind in new if kind in by_kind
    )


def solos(
    day: Day, tune: Under, targets: Sequence[Fraction], returning: Sequence[Under]
) -> Iterator[Slot]:
    """Yield a slot of improvising for each of so many seconds.

    The last places are for finished tunes that come back, as far as there are any.
    """
    bands = day.in_turn("solo", "kind", BANDS)
    taken = {one.combination for one in day.lately("solo")}
    back = list(returning[: len(targets)])
    over = [tune] * (len(targets) - len(back)) + back
    keys = _keys(day, "solo", tune, len(targets))
    for number, (target, one) in enumerate(zip(targets, over, strict=True)):
        now = _rung(day, "solo", one, FORM)
        key = keys[number] if one is tune else one.tune.key
        item = Item("solo", "", "", now.tempo, one.tune.id, FORM, keys=(key,))
        item, target_part = _over(day, item, one, target)
        tried = (replace(item, kind=band) for band in (*bands[number % 3 :], *bands[: number % 3]))
        found = next((i for i in tried if i.combination not in taken), None)
        if found is None:
            continue
        taken.add(found.combination)
        why = _why_back(day, one) if one is not tune else "use what you practised, in time"
        found = replace(
            found,
            title=f"Solo over {target_part} of {one.tune.title}, {found.kind}",
            why=f"{why}; {now.why}",
        )
        yield Slot(target, in_rounds(day.sized(found), target))


def _over(day: Day, item: Item, one: Under, target: Fraction) -> tuple[Item, str]:
    """Return a solo over the form, or over the part that is due where the form is too long."""
    if one.stage.part != FORM and day.sized(item).music > target * TOO_LONG:
        item = replace(item, part=one.stage.part)
    return item, _words(item.part or FORM)


def _part(tune: Under, number: int) -> tuple[str, str]:
    """Return the part of a day's number-th slot: the one that is due, then those before it."""
    there = tune.stage.there
    others = [part for part in reversed(there) if part != tune.stage.part]
    if number % 2 and others:
        return others[number // 2 % len(others)], "it is there already: keep it"
    return tune.stage.part, tune.stage.why


def _positions(day: Day, activity: str, tune: Under) -> list[int]:
    """Return positions to try: one until the whole form is there, then as their round stands."""
    turning = day.positions(activity, POSITIONS)
    home = day.template.position
    known = FORM in tune.stage.there
    return turning if known else [home, *(one for one in turning if one != home)]


def _keys(day: Day, activity: str, tune: Under, count: int) -> list[str]:
    """Return keys for so many slots: the tune's own, or once the form is there, others in turn."""
    own = tune.tune.key
    if tune.stage.beyond < KEYS_COME:
        return [own] * count
    had = [
        customary(key) for one in day.had(activity) if one.tune == tune.tune.id for key in one.keys
    ]
    tonics = keys_following(had, FOURTHS, min(12, count), f"{day.player} {tune.tune.id}")
    mode = "minor" if own.endswith("minor") else "major"
    written = [WRITTEN[mode][NoteName.parse(key).pitch_class] for key in tonics]
    suffix = own[len(own.split()[0]) :]
    return [f"{tonic}{suffix}" for tonic in (written * (count // 12 + 1))[:count]]


def _fresh(kinds: Sequence[str], used: set[str]) -> list[str]:
    """Return kinds with those that today has had already at the end."""
    return sorted(kinds, key=lambda kind: kind in used)


def _rung(day: Day, activity: str, tune: Under, part: str) -> Rung:
    """Return today's tempo for a part: it begins a little under the tune's best clean one."""
    own = [one for one in day.past.tries if one.activity == activity and one.tune == tune.tune.id]
    known = best(own)
    begin = rounded(tune.goal * day.template.begin)
    if known is not None and not any(one.part == part for one in own):
        begin = max(begin, a_little_under(known, day.template))
    return rung(
        own,
        lambda one: one.part == part,
        begin=begin,
        goal=tune.goal,
        day=day.day,
        template=day.template,
    )


def _why_back(day: Day, one: Under) -> str:
    last = max((t.day for t in day.past.tries if t.tune == one.tune.id), default=None)
    ago = f"it was last played {(day.day - last).days} days ago" if last else "it comes back"
    return f"finished, and due again: {ago}"


def _words(part: str) -> str:
    """Return a part as it is said.

    >>> _words("A>B"), _words("form")
    ('the join A to B', 'the whole form')
    """
    if part == FORM:
        return "the whole form"
    if growth.JOIN in part:
        return f"the join {part.replace(growth.JOIN, ' to ')}"
    return part


def _first_up(words: str) -> str:
    return words[:1].upper() + words[1:]
