"""Systems: how many bars in each, by the rules of the page."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.form import BarId
from chartkit.notate.layout import in_lines, in_systems, unbreakable
from chartkit.notate.rhythm import written_value
from chartkit.notate.sheet import ChordSymbol, Event, Measure
from chartkit.theory.symbol import read_symbol

many = settings(derandomize=True, max_examples=200, deadline=None)


def bars(count, label="A", value="1/2", *, symbols=("F7",), first=1, length=4):
    """Make a section of bars filled with one note value and some chords."""
    size = Fraction(value)
    note = written_value(size)
    events = tuple(Event(n * size, note, "note") for n in range(int(length / size)))
    chords = tuple(ChordSymbol(Fraction(0), read_symbol(s).chord) for s in symbols)
    return tuple(
        Measure(
            BarId(label, n, first + n),
            Fraction(length),
            events,
            chords,
            rehearsal=label if n == 0 else "",
        )
        for n in range(count)
    )


def rows(measures):
    """Count the bars of each system."""
    sizes = []
    for measure in measures:
        if measure.new_system:
            sizes.append(0)
        sizes[-1] += measure.id.number > 0
    return sizes


@pytest.mark.parametrize(
    ("count", "value", "expected"),
    [
        (12, "1/2", [4, 4, 4]),
        (32, "1/2", [4] * 8),
        (10, "1/2", [4, 4, 2]),
        (9, "1/2", [4, 3, 2]),
        (5, "1/2", [3, 2]),
        (2, "1/2", [2]),
        (1, "1/2", [1]),
        (8, "1/4", [2, 2, 2, 2]),  # crowded
        (3, "1/4", [3]),  # never a bar alone
        (8, "4", [8]),  # sparse
        (16, "4", [8, 8]),
        (12, "4", [4, 8]),
        (12, "2", [4, 4, 4]),
    ],
)
def test_four_bars_a_system_two_where_crowded_eight_where_sparse(count, value, expected):
    assert sorted(rows(in_systems(bars(count, value=value)))) == sorted(expected)


def test_twelve_eighths_a_bar_are_crowded():
    assert rows(in_systems(bars(8, value="1/2", length=6))) == [2, 2, 2, 2]


def test_long_chord_symbols_crowd_a_bar():
    four = ("Bb7(b9,#11)", "Ebmaj7#11", "Abm7b5", "Db7alt")
    assert rows(in_systems(bars(8, value="1", symbols=four))) == [2, 2, 2, 2]


def test_a_section_starts_a_system():
    assert rows(in_systems(bars(6) + bars(6, "B", first=7))) == [4, 2, 4, 2]


def test_a_pickup_is_no_bar_of_its_system():
    pickup = replace(bars(1, value="1", length=1)[0], id=BarId("A", 0, 0))
    rest = tuple(replace(m, rehearsal="") for m in bars(8))
    assert rows(in_systems((pickup, *rest))) == [4, 4]


def with_endings(*spans, count=10):
    """Make bars with endings from one index to another."""
    measures = list(bars(count, value="1"))
    for number, (first, last) in enumerate(spans, start=1):
        measures[first] = replace(measures[first], ending=(number,))
        measures[last] = replace(measures[last], ended=(number,), right=":|")
    return tuple(measures)


def test_an_ending_is_not_split():
    measures = in_systems(with_endings((6, 8), count=9))
    assert not any(m.new_system for m in measures[7:9])
    assert sum(rows(measures)) == 9


def test_a_long_ending_may_be_split():
    assert unbreakable(with_endings((0, 8))) == frozenset()
    assert unbreakable(with_endings((1, 3))) == {2, 3}


def test_a_two_bar_sign_is_not_split():
    measures = list(bars(10))
    measures[3] = replace(measures[3], simile=2)
    measures[4] = replace(measures[4], simile=-2)
    assert not in_systems(tuple(measures))[4].new_system


@many
@given(
    st.lists(
        st.tuples(st.integers(1, 20), st.sampled_from(["4", "2", "1", "1/2", "1/4"])),
        min_size=1,
        max_size=4,
    )
)
def test_any_sections_give_systems_of_two_to_eight_bars(sections):
    measures = tuple(
        bar for n, (count, value) in enumerate(sections) for bar in bars(count, f"S{n}", value)
    )
    laid = in_systems(measures)
    assert laid[0].new_system
    assert all(m.new_system for m in laid if m.rehearsal)
    start = 0
    for size in rows(laid):
        alone = bool(laid[start].rehearsal) and (
            start + 1 == len(laid) or bool(laid[start + 1].rehearsal)
        )
        assert 2 <= size <= 8 or (size == 1 and alone)
        start += size


def lines(measures, *sizes):
    """Give measures the systems of a file's lines."""
    starts = [sum(sizes[:n]) for n in range(len(sizes))]
    return tuple(replace(m, new_system=n in starts) for n, m in enumerate(measures))


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ((4, 4, 2), [4, 4, 2]),
        ((3, 3, 4), [3, 3, 4]),
        ((4, 1, 5), [5, 5]),
        ((1, 4, 5), [5, 5]),
        ((4, 5, 1), [4, 6]),
        ((1,) * 10, [10]),
    ],
)
def test_lines_are_kept_but_for_a_bar_alone(written, expected):
    assert rows(in_lines(lines(bars(10), *written))) == expected


def test_a_section_of_one_bar_keeps_its_line():
    measures = lines(bars(1) + bars(4, "B", first=2), 1, 4)
    assert rows(in_lines(measures)) == [1, 4]
