from fractions import Fraction

import pytest

from chartkit.exercise import KINDS
from chartkit.line import Line


@pytest.mark.parametrize("name", KINDS)
def test_every_kind_makes_a_line_that_fills_the_changes(changes, name):
    kind = KINDS[name]
    made = changes("Dm7 | G7 | Cmaj7 | N.C.")
    line = kind.maker(made, 45, 72, start=None, value=Fraction(1, 2), upward=True)
    assert isinstance(line, Line)
    assert line.spans == made
    assert sum(note.length for note in line.notes) == 16
    assert all(note.role for note in line.notes if note.pitch)


@pytest.mark.parametrize("name", KINDS)
def test_every_kind_is_told_in_one_line(name):
    kind = KINDS[name]
    assert kind.name == name == name.lower()
    assert kind.title
    assert kind.description
    assert "\n" not in kind.description
    assert len(kind.description) <= 72


def test_the_connected_arpeggio_is_there():
    assert "connected" in KINDS
