from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.guitar.shifts import fewest_shifts

LAYERS = st.lists(st.sets(st.integers(1, 6), min_size=1), min_size=1, max_size=6)


def ways_through(layers):
    """Every way, one position from each layer."""
    if not layers:
        return [[]]
    return [[first, *rest] for first in sorted(layers[0]) for rest in ways_through(layers[1:])]


def moves(way):
    return sum(last != position for last, position in pairwise(way))


@settings(derandomize=True, max_examples=200, deadline=None)
@given(LAYERS)
def test_all_ways_with_the_fewest_shifts_and_no_others(layers):
    shifts = fewest_shifts(layers)
    every = ways_through(layers)
    fewest = min(map(moves, every))
    assert shifts.total == fewest
    for way in every:
        allowed = all(shifts.keeps(number, position) for number, position in enumerate(way))
        allowed = allowed and all(
            shifts.allows(number, way[number - 1], way[number]) for number in range(1, len(way))
        )
        assert allowed == (moves(way) == fewest)
