from fractions import Fraction

import pytest

from chartkit.errors import RequestError
from chartkit.exercise import KINDS
from chartkit.exercise.asked import line_asked, title_of
from chartkit.line_options import LineOptions
from chartkit.take import ExerciseAsked


def test_what_was_asked_for_reaches_the_line(tune, written):
    options = LineOptions(first="third")
    asked = ExerciseAsked("arpeggio", None, 50, 70, 64, Fraction(1), upward=False, options=options)
    assert written(line_asked(tune("C6"), asked, 40, 86)) == "E4 C4 A3 G3"


def test_eighths_in_the_range_of_the_place_by_default(tune):
    line = line_asked(tune("C6"), ExerciseAsked("connected"), 50, 70)
    assert {note.length for note in line.notes} == {Fraction(1, 2)}
    pitches = [note.pitch.midi for note in line.notes]
    # Up from C4 to A4, and down to A3.
    assert (min(pitches), max(pitches)) == (57, 69)


def test_guide_tones_take_no_note_value(tune):
    asked = ExerciseAsked("guide-tones", value=Fraction(2))
    with pytest.raises(RequestError, match="Guide tones take no note value: leave it out"):
        line_asked(tune("C6"), asked, 50, 70)


@pytest.mark.parametrize("kind", KINDS)
def test_a_title_tells_the_kind_and_every_choice(kind):
    assert title_of(ExerciseAsked(kind)) == KINDS[kind].title
    told = {
        title_of(ExerciseAsked(kind, options=LineOptions(**{option: value})))
        for option, values in KINDS[kind].takes.items()
        for value in values
    }
    assert len(told) == sum(map(len, KINDS[kind].takes.values()))


def test_titles():
    asked = ExerciseAsked(
        "arpeggio",
        upward=False,
        options=LineOptions("triads", "third", "there-and-back", cadences=True),
    )
    assert title_of(asked) == (
        "Arpeggio, triads, from the third, down, there and back, over the cadences"
    )
    asked = ExerciseAsked("motif", options=LineOptions(motif="late-start"))
    assert title_of(asked) == "Rhythm motif, late start"
    asked = ExerciseAsked("approach", options=LineOptions(side="above"))
    assert title_of(asked) == "Approach notes, from above"
