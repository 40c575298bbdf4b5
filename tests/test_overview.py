"""Everything to know of a part of a tune, from one request."""

from fractions import Fraction

import pytest

from chartkit.errors import CannotPlay, RequestError
from chartkit.overview import on_the_page, overview
from chartkit.reader import parse
from chartkit.take import Take
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName

CHART = parse(
    """\
Key: C
Tempo: 120

[A]
|: Dm7 | G7 |1. Cmaj7 A7 :|2. Cmaj7 ||

[B]
| Fm7 Bb7 | Ebmaj7 | % | Dm7 G7 |]
""",
    "test.chart",
).chart


def test_the_whole_tune_in_its_own_key_and_tempo():
    found = overview(Take(CHART))
    assert (found.labels, found.bars) == (("A", "B"), 10)
    assert (str(found.key), found.tempo) == ("C major", 120)
    assert found.position == found.positions[0]
    assert [one.bar.number for one in found.efforts] == list(range(1, 9))


def test_the_part_the_key_and_the_tempo_asked_for():
    asked = Take(CHART, sections=("B",), key=Key(NoteName("D")), tempo=Fraction(90))
    found = overview(asked, 7)
    assert (found.labels, found.bars) == (("B",), 4)
    assert (str(found.key), found.tempo) == ("D major", 90)
    assert found.position.position == 7
    assert [str(one.root) for one in (s.chord for s in found.harmony.spans)][:2] == ["G", "C"]
    assert overview(Take(CHART, bars=(2, 3))).bars == 2


def test_hardness_goes_with_the_tempo():
    slow, fast = (overview(Take(CHART, tempo=Fraction(tempo)), 5).efforts for tempo in (60, 180))
    assert [3 * one.points for one in slow] == [one.points for one in fast]


def test_a_key_that_is_not_written_is_estimated_and_a_tempo_is_the_feels():
    plain = parse("[A]\n| Dm7 | G7 | Cmaj7 | C6 |\n", "test.chart").chart
    found = overview(Take(plain))
    assert str(found.key) == "C major"
    assert found.tempo > 0


def test_on_the_page_a_bar_stands_once():
    spans = overview(Take(CHART)).harmony.spans
    shown = [(spans[i].bar.number, spans[i].start - spans[i].bar_start) for i in on_the_page(spans)]
    assert len(shown) == len(set(shown)) == 11
    assert [number for number, _ in shown] == sorted(number for number, _ in shown)


def test_what_is_not_there_is_said():
    with pytest.raises(RequestError, match="there is no section C"):
        overview(Take(CHART, sections=("C",)))
    with pytest.raises(RequestError, match="there is no position 40; choose one from 1 to 19"):
        overview(Take(CHART), 40)
    silent = parse("Key: C\n\n[A]\n| N.C. |\n", "test.chart").chart
    with pytest.raises(CannotPlay, match="there is no chord here"):
        overview(Take(silent))
