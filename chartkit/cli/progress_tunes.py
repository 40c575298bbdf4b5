"""What a report needs of the tunes: their titles, goals and keys, and what is due of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from pathlib import Path

from chartkit.errors import ChartkitError, RequestError
from chartkit.home import home
from chartkit.make_today.facts import tune_facts
from chartkit.make_today.today import GOAL, TEMPLATE
from chartkit.practice.ahead import ahead
from chartkit.practice.log import Log, Tune
from chartkit.practice.looking import Ahead, TuneSeen
from chartkit.practice.past import Try
from chartkit.practice.template import Template, read_template, usual
from chartkit.practice.tune import TuneFacts
from chartkit.reader import read


def facts_of(tunes: Sequence[Tune]) -> dict[str, TuneFacts]:
    """Return the facts of the tunes whose charts can be read where they were, by id."""
    found = ((tune.id, _facts(tune)) for tune in tunes)
    return {tune: facts for tune, facts in found if facts is not None}


def seen(
    tunes: Sequence[Tune], facts: Mapping[str, TuneFacts], goals: Mapping[str, Fraction]
) -> dict[str, TuneSeen]:
    """Return title, goal and key of tunes by id; the title alone where there is no chart."""
    return {
        tune.id: TuneSeen(
            tune.title,
            goals.get(tune.id, facts[tune.id].tempo if tune.id in facts else None),
            facts[tune.id].key if tune.id in facts else "",
        )
        for tune in tunes
    }


def goals_of(log: Log, player: str) -> dict[str, Fraction]:
    """Return the tempos that a player has set to reach, by the tunes' ids."""
    return {
        name.removeprefix(GOAL): Fraction(value)
        for name, value in log.settings(player).items()
        if name.startswith(GOAL)
    }


def due(
    log: Log,
    player: str,
    facts: Mapping[str, TuneFacts],
    goals: Mapping[str, Fraction],
    tries: Sequence[Try],
) -> tuple[Ahead, ...]:
    """Return what is due of the tunes that a player has taken up."""
    taken_up = (*log.under_way(player), *log.finished(player))
    known = [facts[tune] for tune in taken_up if tune in facts]
    return ahead(known, tries, goals, _template(home() / TEMPLATE))


def _template(path: Path) -> Template:
    """Return the player's own template, or the usual one."""
    if not path.exists():
        return usual()
    try:
        return read_template(path.read_text(encoding="utf-8"), str(path))
    except (OSError, UnicodeDecodeError) as error:
        raise RequestError(f"{path} cannot be read: {error}") from error


def _facts(tune: Tune) -> TuneFacts | None:
    for path in tune.paths:
        try:
            return tune_facts(read(path), tune.id)
        except ChartkitError:
            continue
    return None
