import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.exercise.spelling import between, semitone_below, step_above
from chartkit.theory.pitch import NATURAL, NoteName, Pitch
from chartkit.theory.scale import Scale

drawn = settings(derandomize=True, max_examples=200, deadline=None)

WHITE = set(NATURAL.values())
names = st.builds(NoteName, st.sampled_from("CDEFGAB"), st.integers(-1, 1))


@st.composite
def pitches(draw):
    return Pitch(draw(names), draw(st.integers(2, 5)))


# Sharp going up, flat going down; the natural where there is one [common practice].
@pytest.mark.parametrize(
    ("lower", "upper", "up", "down"),
    [
        ("C4", "D4", "C#4", "Db4"),
        ("F4", "G4", "F#4", "Gb4"),
        ("Bb3", "C4", "B3", "B3"),
        ("Eb4", "F4", "E4", "E4"),
        ("E4", "F#4", "F4", "F4"),
        ("F#4", "G#4", "G4", "G4"),
        ("Ab3", "Bb3", "A3", "A3"),
        ("Cb4", "Db4", "C4", "C4"),
        # Double accidentals print as naturals: A to B, and G to F.
        ("Bbb3", "B3", "A#3", "Bb3"),
        ("F4", "F##4", "F#4", "Gb4"),
    ],
)
def test_a_step_between(lower, upper, up, down):
    ends = Pitch.parse(lower), Pitch.parse(upper)
    assert (str(between(*ends, rising=True)), str(between(*ends, rising=False))) == (up, down)


@drawn
@given(pitches())
def test_a_semitone_below(target):
    below = semitone_below(target)
    assert below.midi == target.midi - 1
    if below.midi % 12 in WHITE:
        assert below.name.alter == 0
    elif target.name.alter != -1:
        assert below.name.alter == 1


def test_a_semitone_below_a_flat_that_is_a_white_key():
    assert str(semitone_below(Pitch.parse("Cb4"))) == "Bb3"
    assert str(semitone_below(Pitch.parse("Fb4"))) == "Eb4"
    # A double flat prints as a natural, so it is led to as one.
    assert str(semitone_below(Pitch.parse("Bbb3"))) == "G#3"


@pytest.mark.parametrize(
    ("root", "scale", "target", "above"),
    [
        ("C", "ionian", "C4", "D4"),
        ("C", "ionian", "E4", "F4"),
        ("C", "ionian", "B3", "C4"),
        ("G", "phrygian dominant", "Ab3", "B3"),
        ("Eb", "lydian", "G3", "A3"),
        ("C", "ionian", "F#4", "G4"),
        ("B", "whole-half", "Ab4", "Bb4"),
        ("C", "whole-half", "Bbb3", "B3"),
    ],
)
def test_the_step_above_in_the_scale(root, scale, target, above):
    made = Scale.on(NoteName.parse(root), scale)
    assert str(step_above(made, Pitch.parse(target))) == above
