"""What matters about the costs is their order, so the order is what is tested.

Each order is common practice, no source.
"""

from fractions import Fraction

import pytest

from chartkit.guitar.cost import AT_A_REST, HURRY, IN_A_RUSH, alone, hurry, move
from chartkit.guitar.hand import Grip, finger_for

EIGHTH = hurry(Fraction(1, 2), rested=False)


def grip(string, fret, position=5):
    return Grip(position, fret, string, finger_for(position, fret))


def cost(last, following, weight=EIGHTH):
    return move(last, following, weight)


def own(one, *, open_welcome=False):
    return alone(one, open_welcome=open_welcome)


def test_fingers_in_turn_cost_nothing():
    assert cost(grip(3, 5), grip(3, 7)) == 0
    assert cost(grip(3, 8), grip(2, 5)) == 0
    assert cost(grip(3, 7), grip(3, 7)) == 0


def test_one_finger_for_two_notes_rolls_or_slides_or_hops():
    rolled = cost(grip(3, 7), grip(2, 7))
    slid = cost(grip(3, 8), grip(3, 9))
    hopped = cost(grip(3, 8), grip(2, 9))
    assert 0 < rolled < slid < hopped


def test_a_stretch_or_an_open_string_costs_by_itself():
    assert own(grip(3, 5)) == own(grip(3, 8)) == 0
    assert own(grip(3, 4)) == own(grip(3, 9)) > 0
    opened = grip(3, 0, position=1)
    assert own(opened, open_welcome=True) == 0 < own(opened) < own(grip(3, 9))


def test_past_the_body_the_low_strings_cost_more():
    up = [own(grip(string, 15, position=14)) for string in (1, 2, 3, 4, 5, 6)]
    assert up == sorted(set(up))
    assert up[0] == 0
    assert own(grip(6, 12, position=12)) == 0 < own(grip(6, 13, position=12))


def test_a_wide_open_hand_costs_more_than_its_stretches():
    assert cost(grip(3, 4), grip(2, 9)) > cost(grip(3, 5), grip(2, 9)) > 0


def test_every_string_passed_over_costs():
    steps = [cost(grip(6, 5), grip(string, 7)) for string in (6, 5, 4, 3, 2, 1)]
    assert steps[0] == steps[1] < steps[2] < steps[3] < steps[4] < steps[5]


def test_an_open_string_leaves_the_fingers_free():
    assert cost(grip(3, 0, position=1), grip(3, 1, position=1)) == 0
    assert cost(grip(3, 5, position=1), grip(2, 0, position=1)) == 0


def test_a_longer_shift_costs_more():
    near, far = grip(3, 7, position=7), grip(3, 9, position=9)
    assert 0 < cost(grip(3, 5), near) < cost(grip(3, 5), far)


def test_a_shift_is_cheaper_with_more_time_and_cheapest_at_a_rest():
    beats = [Fraction(4), Fraction(1), Fraction(1, 2), Fraction(1, 4)]
    weights = [
        hurry(Fraction(1, 4), rested=True),
        *(hurry(beat, rested=False) for beat in beats),
    ]
    assert weights == sorted(set(weights))
    assert weights == [AT_A_REST, *(weight for _, weight in HURRY), IN_A_RUSH]
    shifted = [cost(grip(3, 5), grip(3, 9, position=9), weight) for weight in weights]
    assert shifted == sorted(set(shifted))


@pytest.mark.parametrize(("string", "fret"), [(2, 9), (3, 9), (2, 8), (6, 5)])
def test_at_a_rest_the_hand_moves_freely_within_its_position(string, fret):
    assert cost(grip(3, 8), grip(string, fret)) > 0
    assert cost(grip(3, 8), grip(string, fret), AT_A_REST) == 0
