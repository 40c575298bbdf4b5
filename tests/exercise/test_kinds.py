import re
from dataclasses import fields
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.errors import CannotPlay, RequestError
from chartkit.exercise import KINDS, line_through
from chartkit.exercise.terms import Terms
from chartkit.line import Line
from chartkit.line_options import LineOptions

QUALITIES = (
    *("", "m", "dim", "+", "5", "sus", "sus2", "6", "m6", "69", "m69", "add9", "m(add9)"),
    *("maj7", "maj9", "maj7#11", "maj7#5", "maj7(#9)", "m7", "m9", "m11", "m(maj7)", "m7b5"),
    *("dim7", "7", "9", "13", "7b5", "7#5", "7b9", "7#9", "7#11", "13(b9)", "7b9b13", "7alt"),
    *("7sus", "9sus", "13sus", "7susb9", "m7(b13)"),
)
ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "Bb", "B")
symbols = st.builds(str.__add__, st.sampled_from(ROOTS), st.sampled_from(QUALITIES))
MISSING = r"bar \d: \S+ (has no (third|fifth|seventh|root) |is not reached by step )"

OPTIONS = {field.name for field in fields(LineOptions)} - {"cadences"}


@pytest.mark.parametrize("name", KINDS)
def test_every_kind_makes_a_line_that_fills_the_changes(tune, name):
    made = tune("Dm7 | G7 | Cmaj7 | N.C.")
    line = line_through(made, name, Terms(45, 72))
    assert isinstance(line, Line)
    assert line.spans == made
    assert sum(note.length for note in line.notes) == 16
    assert all(note.role for note in line.notes if note.pitch)


@pytest.mark.parametrize("name", KINDS)
def test_every_kind_is_told_in_one_line(name):
    kind = KINDS[name]
    assert kind.name == name == name.lower()
    assert kind.title
    assert kind.description
    assert "\n" not in kind.description
    assert len(kind.description) <= 72


@pytest.mark.parametrize("name", KINDS)
def test_every_option_of_a_kind_is_known_and_makes_a_line(tune, name):
    made = tune("Dm7 | G7 | Cmaj7 | Cmaj7")
    assert KINDS[name].takes.keys() <= OPTIONS
    for option, values in KINDS[name].takes.items():
        lines = {
            line_through(made, name, Terms(45, 72, options=LineOptions(**{option: value}))).notes
            for value in values
        }
        assert len(lines) == len(values), f"{option} changes nothing"


@pytest.mark.parametrize(
    ("name", "options", "sentence"),
    [
        ("guide-tones", LineOptions(first="root"), "Guide tones: choose third or seventh instead"),
        ("connected", LineOptions(first="root"), "`root` means nothing here; .* arpeggio or guide"),
        ("scale", LineOptions(motif="steady"), "`steady` means nothing here; it is for motif"),
        ("motif", LineOptions(motif="bolero"), "choose steady, .* instead of bolero"),
    ],
)
def test_options_that_a_kind_has_no_use_for(tune, name, options, sentence):
    with pytest.raises(RequestError, match=sentence):
        line_through(tune("C"), name, Terms(45, 72, options=options))


@pytest.mark.parametrize("name", KINDS)
def test_a_start_outside_the_range(tune, name):
    with pytest.raises(RequestError, match="the start C3 lies outside the range C4 to C5"):
        line_through(tune("C"), name, Terms(60, 72, start=48))


@pytest.mark.parametrize("name", KINDS)
def test_without_a_chord_there_is_no_line(tune, name):
    with pytest.raises(CannotPlay, match="no chord"):
        line_through(tune("N.C. | N.C."), name, Terms(45, 72))


@pytest.mark.parametrize("name", KINDS)
def test_a_range_without_room(tune, name):
    with pytest.raises(CannotPlay, match=r"bar [12]: (Gb?maj7|C) (has|is) .* from C4 to C#4|Db4"):
        line_through(tune("C | Gmaj7"), name, Terms(60, 61))


@pytest.mark.parametrize("name", [name for name in KINDS if name not in ("guide-tones", "motif")])
def test_a_note_value_that_does_not_fill_the_chord(tune, name):
    sentence = "bar 2: a chord of 3 quarter notes is not filled by notes of 2 quarter notes"
    with pytest.raises(CannotPlay, match=sentence):
        line_through(tune("C | F / / G7"), name, Terms(40, 86, value=Fraction(2)))


@pytest.mark.parametrize("name", KINDS)
@settings(derandomize=True, max_examples=40, deadline=None)
@given(data=st.data())
def test_any_chords_have_a_line_or_a_reason(tune, name, data):
    rows = " | ".join(data.draw(st.lists(symbols, min_size=2, max_size=5)))
    made = tune(rows, key=data.draw(st.sampled_from(["C major", "F# minor"])))
    chosen = {
        option: data.draw(st.sampled_from([None, *values]))
        for option, values in KINDS[name].takes.items()
    }
    terms = Terms(40, 86, options=LineOptions(**chosen))
    try:
        line = line_through(made, name, terms)
    except CannotPlay as reason:
        assert re.match(MISSING, str(reason))  # noqa: PT017 (not every draw raises)
    else:
        assert all(40 <= note.pitch.midi <= 86 for note in line.notes if note.pitch)
        assert sum(note.length for note in line.notes) == 4 * len(rows.split("|"))
