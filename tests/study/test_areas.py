"""Key areas: the search against every possible way, and the demo tunes as a player would mark them.

The areas marked on the demo tunes are our own reading of our own tunes, no source.
"""

from fractions import Fraction
from importlib.resources import files
from itertools import product

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from chartkit.form import body
from chartkit.harmony import spans
from chartkit.overview import on_the_page
from chartkit.reader import parse
from chartkit.study.areas import Step, areas, cheapest, key_by_span, steps
from chartkit.study.standing import standings
from chartkit.theory.chord_scale import kind
from chartkit.transpose import transpose

many = settings(derandomize=True, max_examples=300, deadline=None)
TEXTS = {
    path.name.removesuffix(".chart"): path.read_text(encoding="utf-8")
    for path in files("chartkit.charts").iterdir()
    if path.name.endswith(".chart")
}

# Bars by printed number where the tune is away from its written key, the first time they come; all
# others are at home.
AWAY = {
    "bossa-for-a-window-box": {"A major": range(11, 15)},
    "crooked-staircase": {"G minor": range(4, 9)},
    "half-past-three-ferry": {"Eb major": range(5, 9)},
    "sixteen-marbles": {"Eb major": range(11, 15)},
    "tram-change": {"Db major": range(11, 15)},
    "two-left-gloves": {"B major": range(17, 21)},
    "twelve-doors": {
        "Bb major": range(3, 5),
        "Ab major": range(5, 7),
        "Gb major": range(7, 9),
        "E major": range(9, 11),
        "D major": range(11, 13),
        "B major": range(15, 17),
        "A major": range(17, 19),
        "G major": range(19, 21),
        "F major": range(21, 23),
        "Eb major": range(23, 25),
    },
}


def chart_of(name, semitones=0):
    return transpose(parse(TEXTS[name], name).chart, semitones)


def music_of(name, semitones=0):
    return spans(body(chart_of(name, semitones)), loop=True)


@pytest.mark.parametrize("name", TEXTS)
def test_demo_tunes_leave_home_where_a_player_would_say_so(name):
    music = music_of(name)
    marked = {bar: key for key, bars in AWAY.get(name, {}).items() for bar in bars}
    found = key_by_span(music, loop=True)
    for index in on_the_page(music):
        bar = music[index].bar
        assert str(found[index]) == marked.get(bar.number, str(music[index].key)), bar


def test_the_marks_are_on_tunes_and_bars_that_exist():
    for name, marked in AWAY.items():
        numbers = {span.bar.number for span in music_of(name)}
        assert all(set(bars) <= numbers for bars in marked.values())


@pytest.mark.parametrize("name", TEXTS)
def test_areas_are_the_same_in_all_twelve_keys(name):
    home = key_by_span(music_of(name), loop=True)
    for semitones in range(1, 12):
        moved = key_by_span(music_of(name, semitones), loop=True)
        for key, other in zip(home, moved, strict=True):
            assert (other.tonic.pitch_class - key.tonic.pitch_class - semitones) % 12 == 0
            assert other.mode == key.mode


@pytest.mark.parametrize("name", TEXTS)
def test_areas_hold_every_span_once_and_their_own_tonic(name):
    music = music_of(name)
    found = areas(key_by_span(music, loop=True), loop=True)
    assert sorted(i for area in found for i in area.spans) == list(range(len(music)))
    for area in found:
        inside = [music[index] for index in area.spans]
        at_home = any(span.key == area.key for span in inside)
        assert at_home or any(is_tonic(span.chord, area.key) for span in inside if span.chord)


def is_tonic(chord, key):
    return chord.root.pitch_class == key.tonic.pitch_class and kind(chord) == key.mode


def keys(music, text, key="C major", *, loop=True):
    return [str(one) for one in key_by_span(music(text, key, loop=loop), loop=loop)]


def test_an_area_may_go_over_the_seam(music):
    # It is in E flat at the end and at the beginning.
    text = "Ebmaj7 | Ebmaj7 | Dm7 G7 | Cmaj7 | Cmaj7 | Cmaj7 | Cmaj7 | Fm7 | Bb7"
    found = keys(music, text)
    assert found[:2] == ["Eb major"] * 2
    assert found[-2:] == ["Eb major"] * 2
    assert set(found[2:-2]) == {"C major"}
    *_, last = areas(key_by_span(music(text), loop=True), loop=True)
    assert last.spans == (8, 9, 0, 1)


def test_at_the_end_of_music_that_does_not_go_round_it_may_not(music):
    text = "Cmaj7 | Cmaj7 | Dm7 G7 | Cmaj7 | Fm7 | Bb7"
    assert set(keys(music, text, loop=False)) == {"C major"}


def test_a_second_degree_of_its_own_is_no_tonic(music):
    # Two bars of ii-V in a key whose tonic never comes.
    assert set(keys(music, "Cmaj7 | F#m7 | B7 | Dm7 | G7 | Cmaj7")) == {"C major"}


def test_a_cadence_is_not_torn(music):
    # Am7 is in both keys; it is the ii of the cadence that it begins.
    text = "Cmaj7 | Cmaj7 | Am7 | D7 | Gmaj7 | F#m7b5 B7 | Em7 A7 | D7 | Gmaj7 | Dm7 | G7 | Cmaj7"
    found = keys(music, text)
    assert found[2:5] == ["G major"] * 3
    assert found[-3:] == ["C major"] * 3


def test_a_break_lies_in_the_key_before_it(music):
    text = "N.C. | Cmaj7 | Fm7 Bb7 | Ebmaj7 | Ebmaj7 | Ebmaj7 | N.C. | Dm7 G7"
    found = keys(music, text)
    assert found == ["C major"] * 2 + ["Eb major"] * 6 + ["C major"] * 2


def test_without_a_chord_the_written_key_holds(music):
    assert keys(music, "N.C. | N.C.", "Ab major") == ["Ab major"] * 2
    assert cheapest(steps((), standings((), loop=True), loop=True), loop=True) == ()


def test_a_section_in_a_key_of_its_own_is_at_home_there():
    found = key_by_span(music_of("jam-jars-at-low-tide"), loop=True)
    assert {str(key) for key in found} == {"E minor", "G major"}


def cost(way, steps, *, loop):
    """What a way costs, added up plainly."""
    total = sum(step.costs[key] for step, key in zip(steps, way, strict=True))
    places = range(0 if loop else 1, len(way))
    for here in places:
        one, other = steps[here - 1], steps[here]
        at_home = (way[here - 1], way[here]) == (one.home, other.home)
        if way[here - 1] != way[here] and not at_home:
            total += other.change
    return total


def is_allowed(way, steps, *, loop):
    """Whether each stretch of one key has a step that settles it."""
    count = len(way)
    cuts = [i for i in range(0 if loop else 1, count) if way[i - 1] != way[i]]
    if not loop:
        cuts = [0, *cuts]
    if not cuts:
        return any(step.settles[way[0]] for step in steps)
    ends = [*cuts[1:], cuts[0] + count]
    return all(
        any(steps[i % count].settles[way[i % count]] for i in range(first, last))
        for first, last in zip(cuts, ends, strict=True)
    )


KEYS = 3


@st.composite
def some_steps(draw):
    count = draw(st.integers(1, 6))
    rows = []
    for _ in range(count):
        home = draw(st.integers(0, KEYS - 1))
        settles = [draw(st.booleans()) or key == home for key in range(KEYS)]
        costs = draw(st.lists(st.integers(0, 9), min_size=KEYS, max_size=KEYS))
        rows.append((costs, settles, home, draw(st.integers(0, 4))))
    for key in range(KEYS):  # every key settles somewhere
        rows[draw(st.integers(0, count - 1))][1][key] = True
    return [
        Step(tuple(map(Fraction, costs)), tuple(settles), home, change)
        for costs, settles, home, change in rows
    ]


def step(costs, settles, change=1):
    return Step(tuple(map(Fraction, costs)), settles, 0, change)


# Away from home on both sides of the seam, but its tonic is heard on neither.
UNHEARD = [
    step((5, 0, 9), (True, False, True)),
    step((0, 9, 9), (True, True, False)),
    step((5, 0, 9), (True, False, False)),
]


@many
@given(some_steps(), st.booleans())
@example(steps=UNHEARD, loop=True)
def test_the_search_finds_what_trying_every_way_finds(steps, loop):
    ways = product(range(KEYS), repeat=len(steps))
    best = min(cost(way, steps, loop=loop) for way in ways if is_allowed(way, steps, loop=loop))
    found = cheapest(steps, loop=loop)
    assert is_allowed(found, steps, loop=loop)
    assert cost(found, steps, loop=loop) == best
