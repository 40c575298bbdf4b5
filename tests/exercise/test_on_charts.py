"""Every kind of line stands the check of its own definition, and that of the hand, on every chart.

The checks stand in the test of each kind, apart from how its lines are made.
"""

import re
from fractions import Fraction
from pathlib import Path

import pytest

from chartkit.exercise import KINDS
from chartkit.line_options import LineOptions

EIGHTH = Fraction(1, 2)
NOTHING = LineOptions()

TESTS = [path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_*.py")]


@pytest.mark.parametrize("fixture", ["on_charts", "on_every_chart"])
def test_every_kind_has_its_check(fixture):
    checked = {kind for text in TESTS for kind in re.findall(rf'{fixture}\(check, "(.*?)"', text)}
    assert checked >= set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_a_part_in_some_position(chart_case, chart_name, kind):
    number = list(KINDS).index(kind)
    for part in (0, 1):
        position = 1 + (5 * number + 7 * part + len(chart_name)) % 12
        case = chart_case(kind, (chart_name, part, number, position, EIGHTH, True, NOTHING))
        assert case.check_fingering(position)["shifts"] == 0
