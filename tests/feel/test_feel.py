from dataclasses import replace
from fractions import Fraction

import pytest

from chartkit.chart import Meter
from chartkit.errors import RequestError
from chartkit.feel import FEELS, feel, patterns


def test_swing_can_be_played():
    row = feel("swing")
    assert row.built
    assert set(patterns("swing")) == {"bass", "drums", "comping"}


def test_names_are_read_as_players_write_them():
    assert feel("  Swing ") is FEELS["swing"]


def test_an_unknown_feel_lists_every_name():
    with pytest.raises(RequestError, match="`bosa` is not a feel") as caught:
        feel("bosa")
    for name in FEELS:
        assert f"`{name}`" in str(caught.value)


def test_every_feel_can_be_played():
    assert all(feel(name) is row for name, row in FEELS.items())


def test_a_row_without_patterns_says_what_is_there(monkeypatch):
    monkeypatch.setitem(FEELS, "garden", replace(FEELS["swing"], name="garden"))
    feel.cache_clear()
    with pytest.raises(RequestError, match="`garden` cannot be played yet; choose `ballad`"):
        feel("garden")


def test_a_feel_may_play_the_figures_of_another():
    assert patterns("straight ballad") == patterns("ballad")


# Tempo bands: common practice, no source; half notes and dotted quarters told in quarters.
@pytest.mark.parametrize(
    ("name", "slowest", "fastest"),
    [
        ("ballad", 48, 80),
        ("two-beat swing", 100, 200),
        ("swing", 60, 300),
        ("jazz waltz", 70, 220),
        ("bossa nova", 100, 150),
        ("samba", 2 * 80, 2 * 120),
        ("12/8 blues", 68, 150),  # dotted quarter = 45-100, a whole quarter in
        ("straight eighths", 80, 180),
        ("5/4 swing", 100, 200),
        ("6/4 swing", 100, 200),
        ("half-time swing", 2 * 60, 2 * 150),  # in halves, as slow as swing and up
        ("double-time swing", 40, 300 // 2),
    ],
)
def test_tempo_bands(name, slowest, fastest):
    row = FEELS[name]
    assert (row.slowest, row.fastest) == (slowest, fastest)
    assert slowest < row.tempo < fastest


def test_swing_takes_bars_of_one_to_seven_quarters():
    assert {str(Meter(n)) for n in range(1, 8)} <= set(FEELS["swing"].meters)
    assert str(Meter(4, Fraction(3, 2))) not in FEELS["swing"].meters


@pytest.mark.parametrize("name", [name for name, row in FEELS.items() if row.built])
def test_a_pattern_file_has_a_table_for_each_player(name):
    assert set(patterns(name)) == {"bass", "drums", "comping"}
