"""Blocks on pages, from blocks made by hand."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.output.blocks import BAD_TURN, PARTED, Block
from chartkit.output.pages import LEAST_GAP, laid_out, least_height
from chartkit.output.paper import A4

many = settings(derandomize=True, max_examples=200, deadline=None)

ROOM = A4.height - A4.top - A4.bottom


def system(height=100.0, *, ends=False, turn=BAD_TURN):
    return Block("", height, gap=1.0, turn=0.0 if ends else turn)


def pages(systems, heading=50.0, footing=20.0):
    first, *others = systems
    head = Block("", heading, turn=PARTED)
    return laid_out([head, replace(first, gap=0.0), *others], A4, footing)


def sizes(found):
    """How many systems each page has; the first has the heading besides."""
    first, *others = (len(page.blocks) for page in found)
    return [first - 1, *others]


@pytest.mark.parametrize(
    ("count", "expected"), [(1, [1]), (6, [6]), (7, [3, 4]), (13, [6, 7]), (14, [4, 5, 5])]
)
def test_as_few_pages_as_hold_the_systems_evenly_filled(count, expected):
    # 770 points of paper less 20 of foot hold seven systems of 100 with their gaps; the first page
    # has 50 less.
    assert sizes(pages([system()] * count)) == expected


def test_the_page_is_turned_at_a_double_bar():
    row = [system(ends=n == 1) for n in range(8)]
    assert sizes(pages(row)) == [2, 6]
    row = [system(ends=n in (1, 4)) for n in range(8)]
    assert sizes(pages(row)) == [5, 3]


def test_no_page_is_added_to_turn_at_a_double_bar():
    row = [system(ends=n == 0) for n in range(8)]
    assert len(pages(row)) == 2


def test_a_system_taller_than_the_paper_has_a_page_of_its_own():
    assert sizes(pages([system(), system(height=900.0), system()])) == [1, 1, 1]


def test_what_fits_on_a_page_together_is_not_parted():
    piece = [system(turn=PARTED) for _ in range(3)] + [system(ends=True)]
    assert [len(p.blocks) for p in laid_out(piece * 3, A4, 20.0)] == [4, 4, 4]
    assert [len(p.blocks) for p in laid_out(piece[2:] * 4, A4, 20.0)] == [4, 4]


def test_white_between_pieces_is_in_its_proportion():
    (page,) = laid_out([system(), replace(system(), gap=3.0), system()], A4, 20.0)
    (a, _), (b, _), (c, _) = page.blocks
    assert b - a - 100 == pytest.approx(3 * (c - b - 100))


def test_a_page_that_is_nearly_full_is_spread_to_its_foot():
    (page,) = pages([system()] * 6)
    top, last = page.blocks[-1]
    assert top + last.height == pytest.approx(A4.height - A4.bottom - 20)


@many
@given(
    st.lists(st.tuples(st.floats(30, 300), st.booleans()), min_size=1, max_size=40),
    st.floats(0, 80),
    st.floats(0, 40),
)
def test_systems_keep_their_order_their_distance_and_the_paper(row, heading, footing):
    systems = [system(height, ends=ends) for height, ends in row]
    found = pages(systems, heading, footing)
    assert [b.height for page in found for _, b in page.blocks][1:] == [s.height for s in systems]
    assert [page.number for page in found] == list(range(1, len(found) + 1))
    for page in found:
        foot = A4.top
        for n, (top, one) in enumerate(page.blocks):
            assert top >= foot + (LEAST_GAP * one.gap if n else 0) - 1e-6
            foot = top + one.height
        assert foot <= A4.height - A4.bottom - footing + 1e-6


@many
@given(st.lists(st.floats(30, 300), min_size=1, max_size=40))
def test_no_fewer_pages_would_do(heights):
    systems = tuple(map(system, heights))
    needed, rest = 0, list(systems)
    while rest:  # filling each page to the brim is the fewest there can be
        room = ROOM - 20 - (50 if needed == 0 else 0)
        held = next((n for n in range(len(rest), 0, -1) if least_height(rest[:n]) <= room), 1)
        rest, needed = rest[held:], needed + 1
    assert len(pages(systems)) == needed
