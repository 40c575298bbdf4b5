"""A year of plans for players of five kinds, and what holds for every one of them.

``python tests/practice/test_plan.py`` writes the table of the years anew.
"""

from fractions import Fraction
from pathlib import Path

import pytest
from practice_years import (
    PLAYERS,
    Year,
    broken_rounds,
    day_of_form,
    days_for_twelve,
    order_kept,
    repeated,
    shares_used,
    year_of,
)

GOLDEN = Path(__file__).parents[1] / "golden" / "practice" / "years.txt"

YEARS: dict[str, Year] = {}

HEADS = ("player", "days", "of the budget", "twelve keys in", "whole form on day")


def practised(player):
    """Return a player's year, made once."""
    if player.name not in YEARS:
        YEARS[player.name] = year_of(player)
    return YEARS[player.name]


@pytest.fixture(params=PLAYERS, ids=lambda player: player.name)
def year(request):
    return practised(request.param)


def test_the_budget_is_kept_and_filled_every_day(year):
    assert all(Fraction(95, 100) <= share <= 1 for share in shares_used(year))


def test_no_combination_comes_on_two_days_running(year):
    assert repeated(year) == []


def test_all_twelve_keys_come_in_two_days_of_practice_however_many_are_missed(year):
    assert set(days_for_twelve(year)) == {2}


def test_nothing_that_goes_round_comes_again_before_all_of_it_has_come(year):
    assert broken_rounds(year) == []


def test_parts_are_met_in_the_order_in_which_they_are_learned(year):
    assert order_kept(year)


def test_every_tune_reaches_its_whole_form_within_the_year(year):
    assert None not in day_of_form(year)


def test_nothing_piles_up_after_missed_days(year):
    most = max(len(one.items) for one in year.plans)
    assert most <= len({item.activity for one in year.plans for item in one.items})


def table():
    """Return the table of the years as text."""
    rows = [HEADS]
    for player in PLAYERS:
        year = practised(player)
        used, keys = shares_used(year), days_for_twelve(year)
        rows.append(
            (
                player.name,
                str(len(year.plans)),
                f"{float(min(used)):.1%}-{float(max(used)):.1%}",
                f"{min(keys)}-{max(keys)} days",
                ", ".join(map(str, day_of_form(year))),
            )
        )
    return "".join("  ".join(f"{word:<17}" for word in row).rstrip() + "\n" for row in rows)


def test_the_table_of_the_years():
    assert table() == GOLDEN.read_text(encoding="utf-8")


if __name__ == "__main__":
    GOLDEN.write_text(table(), encoding="utf-8")
