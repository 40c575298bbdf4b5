"""A phrase as a line and as a chart."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from phrase_strategies import phrases

from chartkit.errors import CannotPlay
from chartkit.form import chorus
from chartkit.line import sounding
from chartkit.notate import notate_line
from chartkit.phrase.chart import chart_of, key_of, looped
from chartkit.phrase.line import line_of
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.reader import parse
from chartkit.phrase.values import heard
from chartkit.theory.symbol import write_symbol


def phrase_of(text):
    return parse(text, "x").phrase


@settings(max_examples=60, deadline=None, derandomize=True)
@given(phrases())
def test_a_line_has_the_notes_and_the_chords_of_the_phrase(phrase):
    line = line_of(phrase)
    assert [(t.start, t.length, t.pitch) for t in sounding(line)] == [
        (one.start, one.length, one.pitch) for one in heard(phrase.notes) if one.pitch
    ]
    for before, after in zip(line.spans, line.spans[1:], strict=False):
        assert before.start + before.length == after.start
    assert line.spans[0].start == -phrase.pickup
    assert line.spans[-1].start + line.spans[-1].length == phrase.length
    over = [(s.start, s.chord) for s in line.spans if s.start >= 0]
    if phrase.chords:
        assert over == [(one.start, one.chord) for one in phrase.chords]


@settings(max_examples=60, deadline=None, derandomize=True)
@given(phrases())
def test_every_phrase_can_be_written_down(phrase):
    sheet = notate_line(line_of(phrase), title=phrase.title)
    assert len(sheet.measures) == phrase.bars + (phrase.pickup > 0)
    for measure in sheet.measures:
        assert sum((e.value.length for e in measure.events), Fraction(0)) == measure.length
        assert measure.rehearsal == ""


@settings(max_examples=60, deadline=None, derandomize=True)
@given(phrases().filter(lambda phrase: phrase.chords))
def test_a_chart_has_the_chords_of_the_phrase(phrase):
    form = chorus(chart_of(phrase))
    played = [(bar.start + one.start, one.chord) for bar in form.bars for one in bar.changes]
    assert played == [(one.start, one.chord) for one in phrase.chords]
    assert form.length == phrase.length


@settings(max_examples=60, deadline=None, derandomize=True)
@given(phrases())
def test_a_loop_has_room_for_the_pickup_and_even_bars(phrase):
    made = looped(phrase)
    assert made.bars % 2 == 0
    assert made.length == made.bars * made.meter.length
    assert made.notes[: len(phrase.notes)] == phrase.notes
    last = max((one.end for one in heard(made.notes) if one.pitch), default=Fraction(0))
    assert made.length - last >= phrase.pickup
    assert sum(note.length for note in made.notes) == made.length + made.pickup
    if phrase.chords:
        assert made.chords[-1].chord == phrase.chords[-1].chord
        assert made.chords[-1].end == made.length


def test_the_key_is_the_one_that_the_chords_suggest():
    assert str(key_of(phrase_of("Chords: Cm7 | F7 | Bbmaj7\nMelody: w D4"))) == "Bb major"
    assert str(key_of(phrase_of("Key: F\nChords: Cm7\nMelody: w D4"))) == "F major"


def test_nothing_is_printed_over_a_pickup_or_a_phrase_without_chords():
    sheet = notate_line(line_of(phrase_of("Key: C\nChords: C7\nMelody: e E4 | w C4")), title="")
    assert [[write_symbol(c.chord) for c in m.chords] for m in sheet.measures] == [[], ["C7"]]
    sheet = notate_line(line_of(phrase_of("Key: C\nMelody: e E4 | w C4")), title="")
    assert [m.chords for m in sheet.measures] == [(), ()]


def test_there_is_no_chart_without_chords():
    with pytest.raises(CannotPlay, match="write a `Chords:` line"):
        chart_of(phrase_of("Melody: w C4"))


def test_a_phrase_is_hashable_and_plain():
    phrase = phrase_of("Key: C\nChords: C7\nMelody: w C4")
    assert hash(phrase) == hash(phrase_of("Key: C\nChords: C7\nMelody: | whole C4 |"))
    assert isinstance(phrase, Phrase)
