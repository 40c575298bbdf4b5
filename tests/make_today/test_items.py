"""Items of a day as page and sound: exactly as long as planned, on every demo tune."""

from dataclasses import replace
from datetime import date
from fractions import Fraction
from importlib.resources import files

import pytest

from chartkit.errors import RequestError
from chartkit.make_today import item_page, item_playable, measure_with, tune_facts
from chartkit.make_today.items import item_take
from chartkit.make_today.lines import LINES
from chartkit.make_today.parts import part_take
from chartkit.practice.growth import parts
from chartkit.practice.item import Item
from chartkit.practice.lines import LINES as PLANNED
from chartkit.practice.past import Past
from chartkit.practice.plan import plan
from chartkit.practice.technique import CHORDS, FAMILIES, FIGURES, FOURTHS, PATTERNS
from chartkit.reader import parse
from chartkit.technique import chords as chord_kinds
from chartkit.technique import diatonic, figures, warmup
from chartkit.technique.keys import round_of_keys
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName

DAY = date(2026, 1, 1)

CHARTS = {
    path.name.removesuffix(".chart"): parse(path.read_text(encoding="utf-8"), path.name).chart
    for path in files("chartkit.charts").iterdir()
    if path.name.endswith(".chart")
}


def seconds(performance):
    at = performance.tempo.seconds
    return at(performance.length) * performance.rounds - at(performance.start)


def planned(name, **options):
    chart = CHARTS[name]
    measure = measure_with({name: chart})
    return plan(DAY, 10, (tune_facts(chart, name),), Past(), measure, **options)


UNLIKE = ("jam-jars-at-low-tide", "cellar-stairs", "slow-oven")
"""Jumps and repeats, one section, another feel."""


@pytest.mark.parametrize(
    "name",
    [*UNLIKE, *(pytest.param(n, marks=pytest.mark.sweep) for n in sorted({*CHARTS} - {*UNLIKE}))],
)
def test_items_last_as_long_as_planned(name):
    made = planned(name)
    assert {item.activity for item in made.items} >= {"warm-up", "scales", "solo"}
    assert made.seconds <= 600
    for item in made.items:
        chart = CHARTS[name] if item.tune else None
        assert seconds(item_playable(item, chart).performance) == item.music


@pytest.mark.parametrize("name", sorted(CHARTS))
def test_every_part_of_a_tune_is_a_take_of_its_length(name):
    facts = tune_facts(CHARTS[name], name)
    measure = measure_with({name: CHARTS[name]})
    lengths = {section.label: section for section in facts.sections}
    for part in parts(facts):
        item = Item("arpeggios", "", "guide tones", Fraction(100), name, part)
        beats, bar = measure(item)
        assert beats > 0 < bar
        if part in lengths:
            assert beats == lengths[part].beats
        if ">" in part:
            take = part_take(CHARTS[name], part)
            assert [len(section.bars) for section in take.chart.sections] == [
                min(2, lengths[label].bars) for label in part.split(">")
            ]


def test_a_join_is_the_last_two_bars_and_the_first_two():
    chart = CHARTS["seven-umbrellas"]
    join = part_take(chart, "A>B").chart
    numbers = [bar.number for section in join.sections for bar in section.bars]
    assert numbers == [7, 8, 9, 10]
    again = part_take(chart, "A>A").chart
    assert [bar.number for section in again.sections for bar in section.bars] == [7, 8, 1, 2]


def test_another_tempo_and_another_key():
    chart = CHARTS["cellar-stairs"]
    item = next(i for i in planned("cellar-stairs").items if i.activity == "arpeggios")
    moved = item_playable(item, chart, tempo=Fraction(60), key="F minor")
    assert moved.performance.tempo.at(Fraction(0)) == 60
    assert moved.performance.keys[0][1] == Key(NoteName("F"), "minor")
    assert item_take(item, chart).key is None
    assert moved.sheet.title == item.title


def test_page_and_sound_have_the_same_page():
    made = planned("twelve-spoons")
    for item in made.items:
        chart = CHARTS["twelve-spoons"] if item.tune else None
        assert item_page(item, chart) == item_playable(item, chart).sheet


def test_a_tune_needs_its_chart():
    item = next(i for i in planned("twelve-spoons").items if i.tune)
    with pytest.raises(RequestError, match="chart is needed"):
        item_playable(item)


def test_a_part_that_has_gone_is_said_so():
    item = Item("arpeggios", "", "guide tones", Fraction(100), "x", "Z")
    with pytest.raises(RequestError, match="no part Z"):
        item_playable(item, CHARTS["twelve-spoons"])


def test_a_line_that_has_gone_is_said_so():
    item = Item("arpeggios", "", "yodels", Fraction(100), "x", "form")
    with pytest.raises(RequestError, match="no line yodels"):
        item_playable(item, CHARTS["twelve-spoons"])


def test_what_planning_knows_by_name_is_there():
    assert set(LINES) == {line.name for line in PLANNED}
    assert set(FIGURES) == set(figures.FIGURES) - {"scale"}
    assert set(FAMILIES) == set(diatonic.FAMILIES)
    assert {kind.split()[0] for kind in CHORDS} == set(chord_kinds.KINDS)
    assert tuple("-".join(map(str, fingers)) for fingers in warmup.PATTERNS) == PATTERNS
    cycle = round_of_keys(Key(NoteName("C")), 5)
    assert tuple(str(key.tonic) for key in cycle) == FOURTHS


def test_a_figure_for_some_of_the_keys():
    item = Item(
        "scales",
        "",
        "thirds",
        Fraction(80),
        family="major",
        keys=("C", "F", "Bb"),
        position=5,
        figured=1,
    )
    measure = measure_with({})
    lengths = [measure(replace(item, figured=figured))[0] for figured in range(4)]
    assert lengths == sorted(set(lengths))
    page = item_page(item)
    assert [m.rehearsal for m in page.measures if m.rehearsal] == [
        "C major",
        "thirds",
        "F major",
        "Bb major",
    ]


@pytest.mark.parametrize("kind", CHORDS)
@pytest.mark.parametrize("family", FAMILIES)
def test_chords_along_the_neck_exist_in_every_key(kind, family):
    measure = measure_with({})
    for key in FOURTHS:
        item = Item("along the neck", "", kind, Fraction(60), family=family, keys=(key,))
        assert measure(item)[0] in (16, 32)
