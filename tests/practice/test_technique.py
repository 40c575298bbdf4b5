"""Technique of a day: what items are called, and that what is noted is what was played."""

from datetime import date, timedelta

import pytest
from practice_years import measure_of

from chartkit.practice.item import PLAIN
from chartkit.practice.past import past_of
from chartkit.practice.plan import plan
from chartkit.practice.technique import FIGURES

DAY = date(2026, 3, 1)


def scales_of(day, minutes):
    made = plan(day, minutes, [], past_of(day, []), measure_of([]))
    return [item for item in made.items if item.activity == "scales"]


@pytest.mark.parametrize("minutes", range(5, 31))
def test_scales_are_called_what_is_played(minutes):
    for item in scales_of(DAY, minutes):
        plain = f"{item.family.capitalize()} scales"
        if item.figured:
            assert item.kind in FIGURES
            assert item.title.startswith(f"{plain} and ")
        else:
            assert (item.kind, item.title) == (PLAIN, plain)


def test_a_figure_in_figures_is_called_one():
    titles = {
        item.kind: item.title
        for n in range(5)
        for item in scales_of(DAY + timedelta(n), 120)
        if item.kind.isdigit()
    }
    assert titles
    assert all(t.endswith(f" and the figure {'-'.join(kind)}") for kind, t in titles.items())
