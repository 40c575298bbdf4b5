"""Sections and joins as a player asks for them."""

import pytest

from chartkit.errors import RequestError
from chartkit.reader import parse
from chartkit.stand.asked import asked_of, take_of
from chartkit.stand.parts import parts_of
from chartkit.stand.work import work_of

FORM = parse(
    "Title: Two Ladders\nKey: F\nForm: A A B A\n"
    "[A]\n| F6 | D7 | Gm7 | C7 |\n[B]\n| Cm7 | F7 | Bb6 | C7 |\n",
    "two ladders",
).chart


def numbers(*parts, **more):
    asked = asked_of({"tune": "x", "sections": list(parts), **more})
    return [bar.number for _, bar in work_of(take_of(asked, FORM)).performance.bars]


def test_a_tune_has_its_sections_and_the_joins_of_its_form():
    assert parts_of(FORM)[:2] == ("A", "B")
    assert set(parts_of(FORM)[2:]) >= {"A>B", "B>A"}


def test_a_join_is_two_bars_of_the_one_and_two_of_the_other():
    assert numbers("A>B") == [3, 4, 5, 6]
    assert numbers("B>A") == [7, 8, 1, 2]
    assert numbers("A", "B") == [1, 2, 3, 4, 5, 6, 7, 8]
    assert numbers("A>B", exercise={"kind": "arpeggio"}) == [3, 4, 5, 6]


@pytest.mark.parametrize("parts", [("A>C",), ("A>B", "A"), (">",)])
def test_what_is_no_part_is_refused(parts):
    with pytest.raises(RequestError):
        numbers(*parts)
