"""Header values: what reads, what does not, and that writing is the inverse of reading."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import METERS, keys, tempos

from chartkit.chart import Meter, Tempo
from chartkit.feel import FEELS
from chartkit.header import (
    read_feel,
    read_key,
    read_meter,
    read_tempo,
    read_text,
    write_tempo,
    write_text,
)
from chartkit.lines import Misread

drawn = settings(derandomize=True, max_examples=200, deadline=None)


# ---- Keys ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("F", "F major"),
        ("F major", "F major"),
        ("F Maj", "F major"),
        ("Fm", "F minor"),
        ("F minor", "F minor"),
        ("F min", "F minor"),
        ("F-", "F minor"),
        ("f# minor", "F# minor"),
        ("Bb", "Bb major"),
        ("B♭", "Bb major"),
        ("C♯m", "C# minor"),
        ("bb", "Bb major"),
        ("Cb", "Cb major"),
        ("A#m", "A# minor"),
    ],
)
def test_key(text, name):
    assert str(read_key(text)) == name


@pytest.mark.parametrize("text", ["H", "FM", "F dorian", "F7", "Bbb", "", "major", "F major minor"])
def test_no_key(text):
    with pytest.raises(Misread, match="is not a key"):
        read_key(text)


@pytest.mark.parametrize(
    ("text", "same"),
    [("G#", "Ab major"), ("Fb", "E major"), ("D# major", "Eb major"), ("Dbm", "C# minor")],
)
def test_a_key_without_a_signature_names_the_one_that_sounds_the_same(text, same):
    with pytest.raises(Misread, match="has no key signature") as raised:
        read_key(text)
    assert raised.value.expected == (f"`{same}`",)


@drawn
@given(keys())
def test_keys_are_written_as_they_are_read(key):
    assert read_key(str(key)) == key


# ---- Meters -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "beats", "unit"),
    [
        # Felt in dotted quarters, in halves, or in the lower number: the language's own rule.
        ("4/4", 4, "1"),
        ("3/4", 3, "1"),
        ("6/8", 2, "3/2"),
        ("9/8", 3, "3/2"),
        ("12/8", 4, "3/2"),
        ("2/2", 2, "2"),
        ("3/8", 3, "1/2"),
        ("7/8", 7, "1/2"),
        ("5 / 4", 5, "1"),
    ],
)
def test_meter(text, beats, unit):
    assert read_meter(text) == Meter(beats, Fraction(unit))


@pytest.mark.parametrize("text", ["", "4", "4/", "4/5", "0/4", "17/4", "4/1", "4/32", "C", "-4/4"])
def test_no_meter(text):
    with pytest.raises(Misread):
        read_meter(text)


@pytest.mark.parametrize("upper", range(1, 17))
@pytest.mark.parametrize("lower", [2, 4, 8, 16])
def test_meters_are_written_as_they_are_read(upper, lower):
    meter = read_meter(f"{upper}/{lower}")
    assert str(meter) == f"{upper}/{lower}"
    assert meter.length == Fraction(4 * upper, lower)


def test_drawn_meters_are_ones_that_read():
    assert {read_meter(str(meter)) for meter in METERS} == set(METERS)


# ---- Tempos -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "count", "unit"),
    [
        ("132", "132", "1"),
        ("132.5", "265/2", "1"),
        ("quarter = 132", "132", "1"),
        ("half = 90", "90", "2"),
        ("Half=90", "90", "2"),
        ("dotted  quarter = 66", "66", "3/2"),
        ("30", "30", "1"),
        ("400", "400", "1"),
        ("half = 200", "200", "2"),
    ],
)
def test_tempo(text, count, unit):
    assert read_tempo(text) == Tempo(Fraction(count), Fraction(unit))


@pytest.mark.parametrize(
    "text", ["0", "29.9", "400.1", "5000", "half = 14", "half = 201", "dotted quarter = 267"]
)
def test_a_tempo_out_of_range(text):
    with pytest.raises(Misread, match="quarter notes a minute is out of range") as raised:
        read_tempo(text)
    assert raised.value.expected == ("30 to 400",)


@pytest.mark.parametrize(
    "text",
    ["nan", "inf", "-120", "1e2", "", "fast", "whole = 40", "= 90", "120 = half", "٣٠", "1" * 400],
)
def test_no_tempo(text):
    with pytest.raises(Misread, match="is not a tempo"):
        read_tempo(text)


@drawn
@given(tempos())
def test_tempos_are_written_as_they_are_read(tempo):
    assert read_tempo(write_tempo(tempo)) == tempo


# ---- Feels and free text ------------------------------------------------------------------------


@pytest.mark.parametrize("name", FEELS)
def test_every_feel_is_known(name):
    assert read_feel(f"  {name.upper()} ".replace(" ", "  ")) == name


def test_an_unknown_feel_names_the_nearest_and_all():
    with pytest.raises(Misread, match="the nearest is `bossa nova`") as raised:
        read_feel("bosa nova")
    assert raised.value.expected == tuple(f"`{name}`" for name in FEELS)


@drawn
@given(st.text(st.sampled_from("a;\\ \t")))
def test_free_text_is_written_as_it_is_read(text):
    written = write_text(text)
    assert read_text(written) == text
    assert not any(a.isspace() and b == ";" for a, b in zip(" " + written, written, strict=False))
