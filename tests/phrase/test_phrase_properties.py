"""What holds for every phrase and for every text."""

import logging
import time
from importlib.resources import files

import lark
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from phrase_strategies import NASTY, phrases

from chartkit.phrase.phrase import Phrase
from chartkit.phrase.reader import parse
from chartkit.phrase.writer import write


def read(text):
    reading = parse(text, "x")
    assert reading.phrase, "\n".join(map(str, reading.faults))
    return reading.phrase


def typed(phrase):
    """How its notes and lines were typed, which takes no part in equality."""
    return [note.degree for note in phrase.notes], phrase.lines


@settings(max_examples=150, deadline=None, derandomize=True)
@given(phrases())
def test_what_is_written_is_read_back(phrase):
    text = write(phrase)
    again = read(text)
    assert again == phrase
    assert typed(again)[1] == typed(phrase)[1]
    assert write(again) == text


@settings(max_examples=60, deadline=None, derandomize=True)
@given(phrases())
def test_degrees_stay_degrees(phrase):
    again = read(write(phrase))
    for one, other in zip(phrase.notes, again.notes, strict=True):
        assert other.degree == one.degree


@settings(max_examples=300, deadline=None, derandomize=True)
@given(st.lists(st.sampled_from(NASTY), max_size=40).map("".join))
def test_any_text_is_a_phrase_or_a_located_fault(text):
    reading = parse(text, "x")
    told = [fault for fault in reading.faults if fault.severity == "error"]
    assert isinstance(reading.phrase, Phrase) != bool(told)
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for fault in reading.faults:
        assert fault.place.text == lines[fault.place.line - 1]
        assert 1 <= fault.place.column <= len(fault.place.text) + 1
    if reading.phrase:
        assert read(write(reading.phrase)) == reading.phrase


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.text(max_size=200))
def test_any_characters_are_answered(text):
    parse(text, "x")
    parse(f"Melody: {text}", "x")
    parse(f"Chords: {text}\nMelody: D4", "x")


@pytest.mark.parametrize(
    "piece", ["|", "D ", "_", "C4 _ ", "\nMelody: D", "te D4 ", "up ", "(9", "x"]
)
def test_long_texts_are_answered_within_seconds(piece):
    began = time.perf_counter()
    parse(("Melody: " + piece * 40_000)[:40_000], "x")
    assert time.perf_counter() - began < 5


def test_the_grammar_has_no_conflicts(caplog):
    text = files("chartkit.grammar").joinpath("phrase.lark").read_text(encoding="utf-8")
    lark.logger.setLevel(logging.DEBUG)
    try:
        with caplog.at_level(logging.DEBUG, logger=lark.logger.name):
            lark.Lark(text, parser="lalr", lexer="basic", start=["phrase", "line"], debug=True)
    finally:
        lark.logger.setLevel(logging.CRITICAL)
    assert not [one for one in caplog.messages if "onflict" in one]
