"""The demo tunes: whole, tidy, and between them every sign of the language."""

from collections import Counter
from pathlib import Path

import pytest

from chartkit.chart import Change, Hold, Sign, Simile
from chartkit.feel import FEELS
from chartkit.form import body, chorus, excerpt
from chartkit.reader import parse
from chartkit.writer import write

PATHS = sorted((Path(__file__).parent.parent / "charts").glob("*.chart"))
TEXTS = {path.stem: path.read_text(encoding="utf-8") for path in PATHS}
READINGS = {name: parse(text, f"{name}.chart") for name, text in TEXTS.items()}
CHARTS = {name: reading.chart for name, reading in READINGS.items()}

names = pytest.mark.parametrize("name", TEXTS)


def bars():
    return [bar for chart in CHARTS.values() for section in chart.sections for bar in section.bars]


def slots():
    return [slot for bar in bars() for slot in bar.slots]


@names
def test_reads_without_a_fault_or_a_warning(name):
    assert READINGS[name].faults == ()


@names
def test_is_tidy(name):
    assert write(CHARTS[name]) == TEXTS[name]


@names
def test_is_our_own_and_can_be_played(name):
    chart = CHARTS[name]
    assert chart.composer == "chartkit"
    assert chart.title.lower().replace(" ", "-") == name
    assert chart.key
    assert chart.tempo
    for section in chart.sections:
        assert (section.feel or chart.feel) in FEELS
        assert excerpt(chart, (section.label,)).length


@names
def test_tempo_lies_in_the_feel(name):
    chart = CHARTS[name]
    row = FEELS[chart.feel]
    assert row.slowest <= chart.tempo.quarters <= row.fastest


@pytest.mark.parametrize(
    ("name", "count", "labels"),
    [
        ("twelve-spoons", 12, "A"),
        ("cellar-stairs", 12, "A"),
        ("slow-oven", 12, "A"),
        ("lamp-in-the-hallway", 32, "A B A2"),
        ("tram-change", 32, "A B A2"),
        ("letter-to-the-baker", 32, "A B A C"),
        ("half-past-three-ferry", 32, "A"),
        ("bossa-for-a-window-box", 24, "A B"),
        ("borrowed-bicycle", 32, "A B A C"),
        ("two-left-gloves", 32, "A B C B"),
        ("third-pot-of-tea", 24, "A B A"),
    ],
)
def test_has_its_form(name, count, labels):
    form = body(CHARTS[name])
    assert len(form.bars) == count
    assert form.labels == tuple(labels.split())


def test_an_intro_before_and_a_tag_after():
    chart = CHARTS["borrowed-bicycle"]
    assert chorus(chart, 1, 2).labels[0] == "Intro"
    assert chorus(chart, 2, 2).labels[-1] == "Tag"


def test_the_etude_resolves_in_all_twelve_keys():
    form = body(CHARTS["twelve-doors"])
    majors = {bar.changes[0].chord.root.pitch_class for bar in form.bars[1::2]}
    assert majors == set(range(12))


def test_there_are_no_two_of_a_title():
    assert len(TEXTS) >= 10
    assert max(Counter(chart.title for chart in CHARTS.values()).values()) == 1


def test_every_word_of_the_header_is_used():
    words = {line.partition(":")[0] for text in TEXTS.values() for line in text.splitlines()}
    assert words >= {
        *("Title", "Composer", "Key", "Meter", "Feel", "Tempo"),
        *("Form", "Solos", "Pickup", "Note"),
    }
    assert {chart.tempo.unit for chart in CHARTS.values()} == {1, 2, 1.5}
    assert {chart.key.mode for chart in CHARTS.values()} == {"major", "minor"}


def test_every_sign_is_used():
    assert {bar.left for bar in bars()} == {"|", "|:"}
    assert {bar.right for bar in bars()} == {"|", "||", "|]", ":|"}
    assert {bar.ending for bar in bars()} >= {(), (1,), (2,), (3,), (1, 2)}
    assert {bar.times for bar in bars()} == {None, 3}
    assert {mark.sign for bar in bars() for mark in bar.marks} == set(Sign)
    assert any(mark.last_time for bar in bars() for mark in bar.marks)
    assert any(bar.meter for bar in bars())
    assert {slot.bars for slot in slots() if isinstance(slot, Simile)} == {1, 2}
    assert any(isinstance(slot, Hold) for slot in slots())
    assert any(chart.comments for chart in CHARTS.values())


def test_every_kind_of_change_is_used():
    found = [slot for slot in slots() if isinstance(slot, Change)]
    assert any(change.chord is None for change in found)
    assert any(change.chord and change.chord.bass for change in found)
    for kind in ("pushed", "stopped", "turnaround", "text"):
        assert any(getattr(change, kind) for change in found)
    assert any(change.pushed and change.stopped for change in found)
    assert {change.beats for change in found} >= {1, 2, 3, 4}


def test_sections_override_every_header_word_they_may():
    sections = [section for chart in CHARTS.values() for section in chart.sections]
    assert any(section.key for section in sections)
    assert any(section.meter for section in sections)
    assert any(section.feel for section in sections)
