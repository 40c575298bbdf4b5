from itertools import pairwise, product
from math import inf

from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.guitar.path import least_sum, least_worst

drawn = settings(derandomize=True, max_examples=200, deadline=None)

COSTS = st.dictionaries(st.tuples(st.integers(0, 3), st.integers(0, 3)), st.integers(0, 5))
WIDTHS = st.lists(st.integers(1, 4), min_size=1, max_size=5)


def steps(path, costs):
    entry = costs.get((path[0], path[0]), 1)
    return [entry, *(costs.get(pair, 1) for pair in pairwise(path))]


def search(function, widths, costs):
    return function(
        [list(range(width)) for width in widths],
        lambda choice: costs.get((choice, choice), 1),
        lambda _, last, choice: costs.get((last, choice), 1),
    )


def every_path(widths):
    """All of them, in the order in which ties are settled."""
    return [list(path) for path in product(*map(range, widths))]


@drawn
@given(WIDTHS, COSTS)
def test_least_sum_is_the_first_of_the_cheapest_paths(widths, costs):
    best = min(every_path(widths), key=lambda path: sum(steps(path, costs)))
    assert search(least_sum, widths, costs) == (sum(steps(best, costs)), best)


@drawn
@given(WIDTHS, COSTS)
def test_least_worst_step_and_then_the_least_sum(widths, costs):
    def dearness(path):
        return max(steps(path, costs)), sum(steps(path, costs))

    best = min(every_path(widths), key=dearness)
    assert search(least_worst, widths, costs) == (dearness(best)[0], best)


def test_a_step_that_is_not_allowed_is_not_taken():
    layers = [[0, 1], [0, 1]]

    def step(_, last, choice):
        return inf if last == choice else 9

    assert least_sum(layers, lambda choice: choice, step) == (9, [0, 1])
    assert least_worst(layers, lambda choice: choice, step) == (9, [0, 1])
