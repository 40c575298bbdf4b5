"""The least costly way against every way there is."""

import itertools
import random

from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.band.way import SETTLE, cheapest

many = settings(derandomize=True, max_examples=200, deadline=None)


@st.composite
def problems(draw):
    """Costs of a few choices at a few places, and of every step between neighbours."""
    sizes = draw(st.lists(st.integers(1, 4), min_size=1, max_size=5))
    cost = st.integers(0, 20)
    choices = [draw(st.lists(cost, min_size=size, max_size=size)) for size in sizes]
    steps = [
        [draw(st.lists(cost, min_size=before, max_size=before)) for _ in range(own)]
        for before, own in zip([sizes[-1], *sizes[:-1]], sizes, strict=True)
    ]
    return choices, steps


def cost_of(way, choices, steps, *, closed):
    own = sum(costs[index] for costs, index in zip(choices, way, strict=True))
    links = range(0 if closed else 1, len(way))
    return own + sum(steps[place][way[place]][way[place - 1]] for place in links)


def least(choices, steps, *, closed):
    ways = itertools.product(*(range(len(costs)) for costs in choices))
    return min(cost_of(way, choices, steps, closed=closed) for way in ways)


@many
@given(problems())
def test_an_open_way_is_the_least_of_all(problem):
    choices, steps = problem
    way = cheapest(choices, steps.__getitem__, closed=False)
    assert cost_of(way, choices, steps, closed=False) == least(choices, steps, closed=False)


@many
@given(problems())
def test_a_ring_is_the_least_of_all(problem):
    choices, steps = problem
    way = cheapest(choices, steps.__getitem__, closed=True)
    assert cost_of(way, choices, steps, closed=True) == least(choices, steps, closed=True)


@settings(derandomize=True, max_examples=30, deadline=None)
@given(st.integers(0, 1000), st.integers(SETTLE + 1, 60))
def test_a_long_ring_is_the_least_of_all(seed, lap):
    rng = random.Random(seed)
    choices = [[rng.random() for _ in range(5)] for _ in range(lap)]
    steps = [[[rng.random() for _ in range(5)] for _ in range(5)] for _ in range(lap)]
    way = cheapest(choices, steps.__getitem__, closed=True)
    # Turned round place by place, a least ring meets no cheaper one.
    others = []
    for turn in range(lap):
        turned = cheapest(
            [*choices[turn:], *choices[:turn]],
            [*steps[turn:], *steps[:turn]].__getitem__,
            closed=True,
        )
        others.append([*turned[lap - turn :], *turned[: lap - turn]])
    costs = [cost_of(other, choices, steps, closed=True) for other in others]
    assert cost_of(way, choices, steps, closed=True) <= min(costs) + 1e-9


def test_no_places_no_way():
    assert cheapest([], lambda _: [], closed=True) == []
