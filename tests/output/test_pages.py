"""Systems on pages, from systems made by hand."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.form import BarId
from chartkit.notate import Measure
from chartkit.output.pages import LEAST_GAP, laid_out, least_height
from chartkit.output.paper import A4
from chartkit.output.systems import System

many = settings(derandomize=True, max_examples=200, deadline=None)

ROOM = A4.height - A4.top - A4.bottom


def system(height=100.0, *, ends=False):
    measure = Measure(BarId("A", 0, 1), 4, (), right="||" if ends else "|")
    return System("", (), 500.0, height, 20.0, (measure,))


def pages(systems, heading=50.0, footing=20.0):
    return laid_out(tuple(systems), A4, heading, footing)


def sizes(found):
    return [len(page.systems) for page in found]


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


def test_a_page_that_is_nearly_full_is_spread_to_its_foot():
    (page,) = pages([system()] * 6)
    top, last = page.systems[-1]
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
    assert [s for page in found for _, s in page.systems] == systems
    assert [page.number for page in found] == list(range(1, len(found) + 1))
    for page in found:
        foot = A4.top + (heading if page.number == 1 else 0)
        for n, (top, one) in enumerate(page.systems):
            assert top >= foot + (LEAST_GAP if n else 0) - 1e-6
            foot = top + one.height
        assert foot <= A4.height - A4.bottom - footing + 1e-6


@many
@given(st.lists(st.floats(30, 300), min_size=1, max_size=40))
def test_no_fewer_pages_would_do(heights):
    systems = tuple(map(system, heights))
    needed, rest = 0, list(systems)
    while rest:  # filling each page to the brim is the fewest there can be
        room = ROOM - 20 - (50 if needed == 0 else 0)
        held = next(
            (n for n in range(len(rest), 0, -1) if least_height(tuple(rest[:n])) <= room), 1
        )
        rest, needed = rest[held:], needed + 1
    assert len(pages(systems)) == needed
