"""The search for the cheapest line, against every line there is."""

from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.band.bass_costs import (
    GO_ON,
    LEAP,
    LEAP_AFTER_LEAP,
    LEAP_ON,
    STEP_AFTER_LEAP,
    TURN,
)
from chartkit.band.contour import Move
from chartkit.band.path import least

SETTINGS = settings(derandomize=True, max_examples=200, deadline=None)


def kind(distance):
    if distance == 0:
        return Move.SAME
    if abs(distance) >= LEAP:
        return Move.LEAP_UP if distance > 0 else Move.LEAP_DOWN
    return Move.UP if distance > 0 else Move.DOWN


def linked(one, two, prices):
    """Every move from the pitches of one layer to those of the next, at drawn prices."""
    return tuple(
        tuple((kind(b - a), ((number, prices[b - a]),)) for number, b in enumerate(two))
        for a in one
    )


def contour_cost(line):
    """What a line of pitches pays for its contour, told move by move."""
    total, direction, gone, leapt = 0.0, 0, 0, False
    for distance in (b - a for a, b in pairwise(line)):
        if distance == 0:
            continue
        way = 1 if distance > 0 else -1
        leaps = abs(distance) >= LEAP
        if leapt and leaps:
            total += LEAP_AFTER_LEAP
        elif leapt:
            total += STEP_AFTER_LEAP if way == direction else 0
        elif direction == way:
            total += GO_ON[min(gone, 4) - 1] + (LEAP_ON if leaps else 0)
        elif direction:
            total += TURN[min(gone, 4) - 1]
        gone = gone + 1 if way == direction and not leapt and not leaps else 1
        direction, leapt = way, leaps
    return total


@st.composite
def puzzles(draw):
    """Pitches and costs of up to six layers, and a price for each distance."""
    sizes = draw(st.lists(st.integers(2, 3), min_size=1, max_size=5))
    layers = [
        sorted(draw(st.sets(st.integers(30, 42), min_size=size, max_size=size)))
        for size in (draw(st.integers(1, 2)), *sizes)
    ]
    price = st.integers(0, 400).map(lambda cents: cents / 100)
    costs = [[draw(price) for _ in layer] for layer in layers]
    prices = {distance: draw(price) for distance in range(-12, 13)}
    return layers, costs, prices


def cost_of(puzzle, line, *, closed):
    layers, costs, prices = puzzle
    pitches = [layer[number] for layer, number in zip(layers, line, strict=True)]
    around = [*pitches, pitches[0]] if closed else pitches
    own = sum(cost[number] for cost, number in zip(costs, line, strict=True))
    moves = sum(prices[b - a] for a, b in pairwise(around))
    return own + moves + contour_cost(around)


def solve(puzzle, *, closed):
    layers, costs, prices = puzzle
    around = [*layers, layers[0]] if closed else layers
    links = [linked(one, two, prices) for one, two in pairwise(around)]
    return least(costs, links, closed=closed)


@SETTINGS
@given(puzzles())
def test_an_open_line_is_the_cheapest_of_all(puzzle):
    every = product(*(range(len(layer)) for layer in puzzle[0]))
    cheapest = min(cost_of(puzzle, line, closed=False) for line in every)
    assert cost_of(puzzle, solve(puzzle, closed=False), closed=False) == pytest.approx(cheapest)


@SETTINGS
@given(puzzles())
def test_a_ring_is_the_cheapest_of_all(puzzle):
    every = product(*(range(len(layer)) for layer in puzzle[0]))
    cheapest = min(cost_of(puzzle, line, closed=True) for line in every)
    assert cost_of(puzzle, solve(puzzle, closed=True), closed=True) == pytest.approx(cheapest)


@pytest.mark.parametrize("seam", range(4))
def test_the_seam_may_lie_anywhere(seam):
    """The layer with the fewest pitches is the seam; the line comes back in its own order."""
    layers = [[30, 33], [31, 34], [32, 36], [35, 37]]
    layers[seam] = [33]
    costs = [[0.0] * len(layer) for layer in layers]
    prices = {distance: abs(distance) * 0.5 for distance in range(-12, 13)}
    turned = [*layers[seam:], *layers[:seam]]
    there = solve((layers, costs, prices), closed=True)
    straight = solve((turned, costs[seam:] + costs[:seam], prices), closed=True)
    assert [*there[seam:], *there[:seam]] == straight


def test_a_long_ring_is_swept_once_and_stays_the_cheapest():
    """With pitches that merge early, the second start takes over the first one's rest."""
    layers = [[30, 42], *[[35, 36, 37]] * 60]
    costs = [[0.0, 0.0], *[[0.3 * n for n in (k % 3, (k + 1) % 3, 1)] for k in range(60)]]
    prices = {distance: abs(distance) * 0.1 for distance in range(-12, 13)}
    links = [linked(one, two, prices) for one, two in pairwise([*layers, layers[0]])]
    best = least(costs, links, closed=True)
    totals = []
    for start in (0, 1):
        one = [[layers[0][start]], *layers[1:]]
        alone = [[costs[0][start]], *costs[1:]]
        line = solve((one, alone, prices), closed=True)
        totals.append(cost_of((one, alone, prices), line, closed=True))
    assert cost_of((layers, costs, prices), best, closed=True) == pytest.approx(min(totals))


def test_no_line_where_no_move_is_left():
    assert least([[0.0], [0.0]], [((),)], closed=False) is None
    assert least([[0.0], [0.0]], [((),), ((),)], closed=True) is None


def test_a_note_in_passing_keeps_its_direction():
    """From a middle pitch that only passes, the way on is up where it was come to from below."""
    up_then = [((Move.UP, ((0, 0.0),)),), ((Move.ON_UP, ((0, 5.0),)), (Move.ON_DOWN, ((1, 0.0),)))]
    links = [(up_then[0],), (up_then[1],)]
    assert least([[0.0], [0.0], [0.0, 0.0]], links, closed=False) == [0, 0, 0]
