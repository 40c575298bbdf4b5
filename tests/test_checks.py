"""The rules that a whole chart must keep."""

import random
import re
from itertools import product

import pytest

from chartkit.chart import Bar, Change, Chart, Section
from chartkit.checks import check
from chartkit.errors import Place
from chartkit.lines import Report
from chartkit.order import blocks, unfold
from chartkit.reader import parse
from chartkit.theory.symbol import read_symbol

PLACE = Place("x", 1, 1)
FILL = (Change(read_symbol("C7").chord, 4, place=PLACE),)


def told(text):
    """What is found in a chart, warnings included, but not a missing key."""
    return [fault.found for fault in parse(f"Key: F\n{text}\n", "x").faults]


# ---- Repeats and endings, against a regular expression ----------------------------------------
# A bar is three characters: how it opens (`.` or `:` for a repeat), its ending (0 for none), how it
# closes (`.`, `D` for a double bar line, `R` for a repeat). The expression is the rule of the
# language written once more, as the shapes that a section may be made of.

PLAIN = r"(?:\.0[.D])"
REPEAT = rf"(?:[:.]0R|[:.]0[.D]{PLAIN}*\.0R)"
LONE = r"1(?:R|\.(?:\.0\.)*\.0R)"
FIRST = rf"1(?:R|[.D]{PLAIN}*\.0R)"
LAST = r"\.2(?:D|\.(?:\.0\.)*(?:\.0D|(?=:)|$))"
BEFORE = rf"(?:[:.]0[.D]{PLAIN}*\.|:|(?<!R)\.)"  # what stands before the number of a first ending
LEGAL = re.compile(rf"(?:{PLAIN}|{REPEAT}|{BEFORE}{FIRST}{LAST}|{BEFORE}{LONE})*")


def bars(code):
    rights = {".": "|", "D": "||", "R": ":|"}
    return tuple(
        Bar(
            number,
            FILL,
            left="|:" if left == ":" else "|",
            right=rights[right],
            ending=(int(ending),) if ending != "0" else (),
            ends_system=True,
            place=PLACE,
            left_place=PLACE,
            right_place=PLACE,
        )
        for number, (left, ending, right) in enumerate(zip(*[iter(code)] * 3, strict=True), 1)
    )


def is_accepted(code):
    report = Report(100)
    check(Chart((Section("A", bars(code), place=PLACE),)), {}, report)
    return not report.faults


CODES = ["".join(code) for code in product(".:", "012", ".DR")]


def test_repeats_of_up_to_three_bars():
    for length in (1, 2, 3):
        for codes in product(CODES, repeat=length):
            code = "".join(codes)
            assert is_accepted(code) == bool(LEGAL.fullmatch(code)), code


def test_repeats_of_more_bars():
    rng = random.Random(1)
    common = [".0.", ".0.", ".0D", ":0.", ".0R", ".1.", ".1R", ".2.", ".2D", ":1R"]
    legal = 0
    for _ in range(20_000):
        code = "".join(rng.choices(common, k=rng.randint(4, 9)))
        legal += bool(LEGAL.fullmatch(code))
        assert is_accepted(code) == bool(LEGAL.fullmatch(code)), code
    assert legal > 500


def test_what_is_accepted_plays_every_bar():
    codes = ("".join(parts) for n in (1, 2, 3) for parts in product(CODES, repeat=n))
    legal = [code for code in codes if LEGAL.fullmatch(code)]
    assert len(legal) > 100
    for code in legal:
        assert set(unfold(blocks(bars(code)))) == set(range(len(code) // 3)), code


# ---- The others, by example (their messages are in tests/charts/bad) ----------------------------

FINE = [
    "[A]\n| F7 |1. C7 :| D7",
    "[A]\n| F7 |1. C7 :|2. D7 |: G7 :|",
    "[A]\n| F7 || C7 |1. C7 || D7 :|2. D7 || G7 :|",
    "[A]\n| F7 D.C. al Coda | C7 To Coda | Coda G7",
    "[A]\n| F7 Fine | C7 D.S. al Fine | Segno G7",
    "[A]\n| F7 last time To Coda | C7 D.C. al Coda | Coda G7 last time D.C.",
    "[A]\n| F7 | % | %% | C7 | %% | / / F7 / | % |",
    "[A]\n| F7 | {3/4} F7 | % | / / / | {4/4} / / F7 / | % |",
    "[A]\n|: F7 | % |1. F7 | % :|2. F7 | % | %% ||",
]


@pytest.mark.parametrize("text", FINE)
def test_nothing_is_said_of_what_is_fine(text):
    assert told(text) == []


def test_sections_may_be_named_in_any_case_and_keep_their_spelling():
    chart = parse("Key: F\nForm: a, INTRO b\nSolos: B\n[A]\nF7\n[b]\nF7\n[Intro]\nF7\n", "x").chart
    assert chart.order == ("A", "Intro", "b")
    assert chart.solos == ("b",)


@pytest.mark.parametrize("label", ["Intro", "tag", "ENDING", "Outro"])
def test_sections_played_anyway_may_be_left_out_of_the_form(label):
    assert told(f"Form: A\n[A]\nF7\n[{label}]\nF7") == []


def test_a_section_that_only_the_solos_use_is_not_left_out():
    assert told("Form: A\nSolos: B\n[A]\nF7\n[B]\nF7\n[C]\nF7") == ["`Form:` leaves `[C]` out"]


def test_a_warning_of_one_chord_is_given_once():
    assert len(told("[A]\n| Bb5 | Bb5 | Eb5 |")) == 2
