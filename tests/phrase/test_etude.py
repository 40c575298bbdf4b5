"""Etudes: the rules over all charts, grades and seeds; see ``tests/etude_rules.py``."""

from dataclasses import replace
from importlib.resources import files
from itertools import product
from random import Random

import pytest
from etude_rules import TITLES, check, tones
from hypothesis import assume, given, settings
from pairing import pairs
from strategies import charts

from chartkit.arrange import form_of
from chartkit.chart import Meter
from chartkit.errors import CannotPlay, ChartkitError, RequestError
from chartkit.harmony import spans
from chartkit.make_etude import EtudeAsked, demo_phrases, terms_of
from chartkit.phrase.etude import etude, parts_in_words
from chartkit.phrase.etude_grades import GRADES, fitted_value
from chartkit.phrase.reader import parse as read_phrase
from chartkit.reader import parse
from chartkit.take import Take
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName, Pitch

CHARTS = {
    one.name.removesuffix(".chart"): parse(one.read_text(encoding="utf-8"), one.name).chart
    for one in files("chartkit.charts").iterdir()
    if one.name.endswith(".chart")
}
PHRASES = {phrase.title: phrase for phrase in demo_phrases()}
FEW = demo_phrases(("kettle-on-the-hob", "corner-window", "tin-lid", "squeaky-hinge"))
POSITIONS = (5, 1, 9, None)


def made(chart, grade=3, seed=0, phrases=FEW, *, position=5, key=None):
    take = Take(CHARTS[chart], key=key)
    terms = terms_of(EtudeAsked(phrases, grade, position))
    changes = spans(form_of(take), loop=True)
    return etude(changes, phrases, terms, Random(seed)), terms


CASES = [*pairs((sorted(CHARTS), sorted(GRADES), (0, 1, 2), POSITIONS))]


@pytest.mark.parametrize("chart", sorted(CHARTS))
def test_the_rules_hold(chart):
    for name, grade, seed, position in CASES:
        if name == chart:
            check(*made(chart, grade, seed, position=position), PHRASES)


@pytest.mark.sweep
@pytest.mark.parametrize(("chart", "grade"), [*product(sorted(CHARTS), GRADES)])
def test_the_rules_hold_everywhere(chart, grade):
    for seed, position in product(range(4), POSITIONS):
        phrases = demo_phrases() if position == 5 else FEW
        check(*made(chart, grade, seed, phrases, position=position), PHRASES)


@pytest.mark.sweep
@settings(max_examples=40, deadline=None)
@given(charts())
def test_the_rules_hold_on_any_chart(chart):
    """In any meter, over any chords, with N.C. and pick-ups; charts that cannot be played apart."""
    try:
        changes = spans(form_of(Take(chart)), loop=True)
    except ChartkitError:
        assume(False)
    assume(any(span.chord for span in changes))
    for grade in (1, 3, 5):
        terms = terms_of(EtudeAsked(FEW, grade))
        one = etude(changes, FEW, terms, Random(grade))
        if one.parts:
            check(one, terms, PHRASES)


def test_the_harder_the_grade_the_denser_and_the_wider():
    """Notes over all charts grow from grade to grade, and so does the range."""
    notes, widths = [], []
    for grade in GRADES:
        lines = [made(chart, grade, phrases=())[0].line for chart in CHARTS]
        notes.append(sum(len(tones(line)) for line in lines))
        midi = [[t.midi for t in tones(line)] for line in lines]
        widths.append(max(max(one) - min(one) for one in midi))
    assert notes == sorted(set(notes))
    assert widths == sorted(set(widths))


def test_the_same_seed_is_the_same_etude_and_another_is_another():
    one, again, other = (made("letter-to-the-baker", seed=seed)[0] for seed in (4, 4, 5))
    assert one == again
    assert one != other


def test_a_phrase_that_fits_comes_up():
    """The chart has a major ii-V, and of twenty seeds no fewer than half play the phrase."""
    only = demo_phrases(("kettle-on-the-hob",))
    played = [
        any(part.what not in TITLES for part in made("letter-to-the-baker", 3, seed, only)[0].parts)
        for seed in range(12)
    ]
    assert sum(played) >= 6


def test_phrases_that_are_too_hard_stay_out():
    """Quarters are the shortest notes of the first grade."""
    for seed in range(3):
        parts = made("letter-to-the-baker", 1, seed)[0].parts
        assert all(part.what in TITLES for part in parts)


@pytest.mark.parametrize("over", ["", "Chords: N.C. | N.C.\n", "Chords: N.C. | Dm7\n"])
def test_phrases_of_whose_chords_nothing_is_known_stay_out(over):
    phrase = read_phrase(f"Key: C\n{over}Melody: w C4 | w r", "x").phrase
    one = made("letter-to-the-baker", phrases=(phrase,))[0]
    assert all(part.what in TITLES for part in one.parts)


def test_in_another_key_it_is_still_one():
    check(*made("letter-to-the-baker", key=Key.written(8, "major")), PHRASES)


def test_nothing_without_a_chord():
    chart = parse("Meter: 4/4\nFeel: swing\n\n[A]\n| N.C. | N.C. |\n", "x").chart
    changes = spans(form_of(Take(chart)), loop=True)
    with pytest.raises(CannotPlay, match="no chord here"):
        etude(changes, (), terms_of(EtudeAsked()), Random(0))


@pytest.mark.parametrize("grade", [0, 6])
def test_a_grade_that_there_is_not(grade):
    with pytest.raises(RequestError, match="grade 1 to 5"):
        terms_of(EtudeAsked(grade=grade))


def test_what_it_is_made_of_is_told_in_order():
    lines = [*parts_in_words(made("cellar-stairs")[0].parts)]
    assert lines[0].startswith("bar 1, ")
    numbers = [int(line.split(",")[0].removeprefix("bar ")) for line in lines]
    assert numbers == sorted(numbers)


def test_values_fit_the_beats_of_every_meter():
    half = GRADES[3].values[0]
    for meter in (Meter(4), Meter(3), Meter(4, 3 * half), Meter(7, half), Meter(2, 4 * half)):
        for grade in GRADES.values():
            for value in grade.values:
                assert (meter.unit / fitted_value(value, meter)).denominator == 1


# ---- The rules themselves can fail --------------------------------------------------------------


def spoiled(one, number, **changes):
    """An etude with something else about one of its notes."""
    sounding = [n for n, note in enumerate(one.line.notes) if note.pitch]
    notes = list(one.line.notes)
    notes[sounding[number]] = replace(notes[sounding[number]], **changes)
    return replace(one, line=replace(one.line, notes=tuple(notes)))


@pytest.mark.parametrize("number", [0, 1, -1])
def test_a_note_elsewhere_is_noticed(number):
    one, terms = made("cellar-stairs", 1, phrases=())
    check(one, terms, PHRASES)
    pitch = [note.pitch for note in one.line.notes if note.pitch][number]
    for strange in (Pitch.at(pitch.name, pitch.midi + 24), Pitch(NoteName("F", 1), 4)):
        with pytest.raises(AssertionError):
            check(spoiled(one, number, pitch=strange), terms, PHRASES)


def test_a_breath_that_is_not_taken_is_noticed():
    one, terms = made("cellar-stairs", 1, phrases=())
    pitch = next(note.pitch for note in one.line.notes if note.pitch)
    notes = tuple(note if note.pitch else replace(note, pitch=pitch) for note in one.line.notes)
    with pytest.raises(AssertionError):
        check(replace(one, line=replace(one.line, notes=notes)), terms, PHRASES)
