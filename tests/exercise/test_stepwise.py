import random
from itertools import pairwise, product

import pytest

from chartkit.exercise.stepwise import Stuck, cheapest_way


def steps(seed, choices):
    """Some steps from each choice to others, with points, layer by layer."""
    rng = random.Random(seed)
    return {
        (layer, one): [(other, rng.randrange(9)) for other in range(choices) if rng.random() < 0.7]
        for layer in range(1, 6)
        for one in range(choices)
    }


def points(path, onward):
    return sum(
        dict(onward[layer, one])[other] for layer, (one, other) in enumerate(pairwise(path), 1)
    )


@pytest.mark.parametrize("seed", range(30))
def test_no_other_way_is_cheaper(seed):
    onward = steps(seed, 4)
    ways = [
        path
        for path in product(range(4), repeat=6)
        if path[0] < 2 and all(path[n] in dict(onward[n, path[n - 1]]) for n in range(1, 6))
    ]
    found = cheapest_way([(0, 0), (1, 0)], 6, lambda layer, one: onward[layer, one])
    assert tuple(found) in ways
    assert points(found, onward) == min(points(path, onward) for path in ways)


def test_of_equal_ways_the_one_found_first():
    found = cheapest_way([("a", 0)], 3, lambda _, one: [(one + "x", 1), (one + "y", 1)])
    assert found == ["a", "ax", "axx"]


@pytest.mark.parametrize("layer", [1, 2, 3])
def test_where_it_is_stuck(layer):
    with pytest.raises(Stuck) as stuck:
        cheapest_way([(0, 0)], 4, lambda number, _: [] if number == layer else [(0, 0)])
    assert stuck.value.layer == layer


def test_without_a_beginning_it_is_stuck_at_once():
    with pytest.raises(Stuck) as stuck:
        cheapest_way([], 4, lambda _, one: [(one, 0)])
    assert stuck.value.layer == 0
