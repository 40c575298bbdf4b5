import pytest

from chartkit.errors import (
    CannotPlay,
    ChartFaults,
    ChartkitError,
    ChordError,
    Fault,
    OutputError,
    Place,
    RequestError,
    SoundError,
    either,
)


def test_a_fault_shows_place_line_and_caret():
    place = Place("tune.chart", 7, 9, "| F7  | H7 |")
    fault = Fault(place, "`H7` is not a chord", ("B7", "Bb7"))
    assert str(fault) == (
        "tune.chart:7:9: `H7` is not a chord; expected B7 or Bb7\n| F7  | H7 |\n        ^"
    )


def test_a_warning_says_so():
    fault = Fault(Place("-", 1, 1, "A"), "no key is given", severity="warning")
    assert str(fault).startswith("-:1:1: warning: no key is given\n")


@pytest.mark.parametrize("column", [1, 40, 41, 500, 960, 1000])
def test_a_long_line_is_cut_around_the_caret(column):
    text = "".join(chr(ord("a") + i % 26) for i in range(1000))
    line, caret = Place("x", 1, column, text).quote().split("\n")
    assert len(line) == 80
    assert line[caret.index("^")] == text[column - 1]


def test_a_quote_keeps_control_characters_off_the_terminal():
    line, caret = Place("x", 1, 3, "a\t\x1b[31mb").quote().split("\n")
    assert "\x1b" not in line
    assert line[:2] == "a "
    assert caret == "  ^"


def test_a_place_takes_no_text_into_equality():
    assert Place("x", 1, 2, "one") == Place("x", 1, 2, "two")


@pytest.mark.parametrize(
    ("words", "said"),
    [(("one",), "one"), (("one", "two"), "one or two"), (("a", "b", "c"), "a, b or c")],
)
def test_either(words, said):
    assert either(words) == said


def test_each_error_knows_how_to_leave():
    faults = ChartFaults((Fault(Place("x", 1, 1), "no section"),))
    for error in (
        faults,
        ChordError("H", "no"),
        CannotPlay("x"),
        SoundError("x"),
        OutputError("x"),
    ):
        assert isinstance(error, ChartkitError)
        assert error.exit_code == 1
    assert RequestError("x").exit_code == 2
