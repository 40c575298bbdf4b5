"""The report puts together what the other modules find, one entry a span."""

from importlib.resources import files

import pytest

from chartkit.errors import CannotPlay
from chartkit.form import body
from chartkit.harmony import spans
from chartkit.reader import parse
from chartkit.study.areas import areas, key_by_span
from chartkit.study.changes import changes
from chartkit.study.report import report
from chartkit.theory.tidy import tidy_quality

CHARTS = [
    parse(path.read_text(encoding="utf-8"), path.name).chart
    for path in files("chartkit.charts").iterdir()
    if path.name.endswith(".chart")
]


@pytest.mark.parametrize("chart", CHARTS, ids=lambda chart: chart.title)
def test_every_span_has_its_key_and_numeral(chart):
    music = spans(body(chart), loop=True)
    found = report(music, loop=True)
    assert found.spans == music
    assert found.keys == key_by_span(music, loop=True)
    assert found.areas == areas(found.keys, loop=True)
    assert found.changes == changes(music, loop=True)
    for span, numeral in zip(music, found.numerals, strict=True):
        assert (numeral is None) == (span.chord is None)
        if span.chord and numeral:
            assert tidy_quality(span.chord.degrees).endswith(numeral.quality)


def test_each_span_keeps_its_own_quality(look):
    assert [str(one) for one in look("G9sus | G7b9 | C6 | C6").numerals[:2]] == ["V9sus", "V7b9"]


def test_changes_without_a_chord_are_nothing_to_look_at(music):
    with pytest.raises(CannotPlay, match="there is no chord here to look at"):
        report(music("N.C. | N.C."), loop=True)
