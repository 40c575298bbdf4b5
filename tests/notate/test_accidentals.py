"""Accidentals against music21, which knows the rule on its own; reminders by example."""

from fractions import Fraction

import music21
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.notate.accidentals import signature, simpler, with_accidentals
from chartkit.notate.sheet import Event, NoteValue
from chartkit.theory.key import WRITTEN, Key
from chartkit.theory.pitch import NoteName, Pitch

KEYS = [Key.written(n, mode) for mode in WRITTEN for n in range(12)]

many = settings(derandomize=True, max_examples=200, deadline=None)


def measure(names):
    return tuple(
        Event(
            Fraction(n),
            NoteValue(Fraction(1)),
            "note",
            pitch=Pitch.parse(name.strip("~")),
            tied_back="~" in name,
        )
        for n, name in enumerate(names.split())
    )


def printed(key, *measures):
    """Write accidentals as printed: ``.`` for none, reminders in brackets."""
    signs = {None: ".", -1: "b", 0: "n", 1: "#"}
    done = with_accidentals([(key, measure(names)) for names in measures])
    return [
        " ".join(f"({signs[e.accidental]})" if e.courtesy else signs[e.accidental] for e in events)
        for events in done
    ]


@pytest.mark.parametrize("key", KEYS, ids=str)
def test_signatures_are_those_of_music21(key):
    theirs = music21.key.KeySignature(key.fifths).alteredPitches
    assert signature(key) == {pitch.step: int(pitch.alter) for pitch in theirs}


names = st.builds(
    lambda letter, alter, octave: f"{NoteName(letter, alter)}{octave}",
    st.sampled_from("CDEFGAB"),
    st.integers(-1, 1),
    st.just(4),  # music21 lets an accidental stand for every octave of its letter; we do not
)


@many
@given(
    st.sampled_from(KEYS), st.lists(st.lists(names, min_size=4, max_size=4), min_size=1, max_size=3)
)
def test_what_is_due_is_what_music21_prints(key, bars):
    ours = with_accidentals([(key, measure(" ".join(bar))) for bar in bars])
    due = [e.accidental is not None and not e.courtesy for events in ours for e in events]
    assert due == theirs(key, bars)


def theirs(key, bars):
    shown = []
    for bar in bars:  # one at a time: no reminder reaches over the bar line
        stream = music21.stream.Measure()
        stream.keySignature = music21.key.KeySignature(key.fifths)
        for name in bar:
            stream.append(music21.note.Note(name.replace("b", "-")))
        stream.makeAccidentals(
            inPlace=True,
            cautionaryPitchClass=False,
            cautionaryNotImmediateRepeat=False,
        )
        shown += [
            bool(n.pitch.accidental and n.pitch.accidental.displayStatus) for n in stream.notes
        ]
    return shown


C, F_MAJOR = Key(NoteName("C")), Key(NoteName("F"))


def test_an_accidental_lasts_to_the_end_of_its_measure_on_its_own_line():
    assert printed(C, "F#4 F#4 F#5 G4") == ["# . # ."]


def test_the_key_signature_is_taken_back_by_a_natural():
    assert printed(F_MAJOR, "Bb3 B3 B3 Bb3") == [". n . b"]


def test_the_next_measure_is_reminded_once():
    assert printed(C, "F#4 A4 C5 E5", "F4 A4 F4 E4", "F4 A4 C5 E5") == [
        "# . . .",
        "(n) . . .",
        ". . . .",
    ]


def test_another_octave_is_reminded_in_the_same_measure():
    assert printed(C, "Bb3 D4 B4 G4") == ["b . (n) ."]


def test_a_tie_carries_its_accidental_over_the_bar_line_and_no_further():
    assert printed(C, "F4 F4 F4 F#4", "F#4~ G4 F#4 F4") == [". . . #", ". . # n"]


@pytest.mark.parametrize(
    ("pitch", "plain"),
    [("Bbb3", "A3"), ("F##4", "G4"), ("Cbb4", "Bb3"), ("B##3", "C#4"), ("Eb4", "Eb4")],
)
def test_double_accidentals_give_way_to_plain_names(pitch, plain):
    assert str(simpler(Pitch.parse(pitch))) == plain
    assert simpler(Pitch.parse(pitch)).midi == Pitch.parse(pitch).midi
