"""Words of messages: short, printable, and a word for every kind of the grammar."""

import re
from importlib.resources import files

import pytest

from chartkit.explain import WORDS, misplaced, names, shown

TERMINALS = set(
    re.findall(
        r"^([A-Z_]+)(?:\.-?\d+)?: ",
        files("chartkit.grammar").joinpath("chart.lark").read_text(encoding="utf-8"),
        re.MULTILINE,
    )
)


def test_every_word_is_a_terminal_of_the_grammar():
    assert WORDS.keys() - {"RPAR", "$END"} <= TERMINALS


@pytest.mark.parametrize("kind", sorted(TERMINALS))
def test_no_message_shows_the_name_of_a_terminal(kind):
    said = misplaced(kind, "x3", "C7")
    for text in [*names({kind}), *([said[0], *said[1]] if said else [])]:
        assert kind not in text or kind in ("CODA", "FINE", "SEGNO")


@pytest.mark.parametrize("text", ["x" * 10_000, "a\x00\x1b[2Jb", "\ud800", "\u202ex", "\n"])
def test_what_is_shown_is_short_and_printable(text):
    assert shown(text).isprintable()
    assert len(shown(text)) <= 34


def test_names_come_in_their_order_and_once():
    assert names({"RPAR", "CHORD", "SLASH"}) == ("a chord", "`/`", "`)`")
