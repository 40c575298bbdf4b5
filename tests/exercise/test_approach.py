"""Approach notes and enclosures: worked examples, and their definition on every chart."""

from fractions import Fraction

import pytest

from chartkit.errors import CannotPlay
from chartkit.exercise.approach import approach, enclosure
from chartkit.exercise.terms import Terms
from chartkit.line_options import LineOptions

TWO_FIVE_ONE = "Dm7 | G7 | Cmaj7 | Cmaj7"

# Worked by hand from the definition, in A2 to C5; from above C5 would be led to by D5.
BELOW = """D3 E3 F3 G#3 A3 B3 C4 C#4 | D4 E4 F4 F#4 G4 A#4 B4 B4
    | C5 A#4 B4 F#4 G4 D#4 E4 B3 | C4 A#3 B3 F#3 G3 D#3 E3 C#3"""
ABOVE = """D3 G3 F3 B3 A3 D4 C4 E4 | D4 G4 F4 A4 G4 C5 B4 A4
    | G4 F4 E4 D4 C4 C4 B3 A3 | G3 F3 E3 D3 C3 C3 B2 E3"""
ENCLOSED = """D3 G3 E3 F3 A3 F#3 | G3 C4 A#3 B3 D4 B3
    | C4 F4 D#4 E4 A4 F#4 | G4 C5 A#4 B4 E3 C#3"""


@pytest.mark.parametrize(
    ("maker", "options", "worked"),
    [
        (approach, LineOptions(), BELOW),
        (approach, LineOptions(side="above"), ABOVE),
        (enclosure, LineOptions(), ENCLOSED),
    ],
)
def test_worked_examples(tune, written, maker, options, worked):
    line = maker(tune(TWO_FIVE_ONE), Terms(45, 72, options=options))
    assert written(line) == " ".join(worked.split())


def test_lengths_of_targets_and_of_the_notes_that_lead_to_them(tune):
    def lengths(maker, value):
        return [note.length for note in maker(tune("Dm7 G7"), Terms(45, 72, value=value)).notes]

    half = Fraction(1, 2)
    assert lengths(approach, half) == [half] * 8
    assert lengths(approach, Fraction(1, 3)) == [Fraction(2, 3), Fraction(1, 3)] * 4
    assert lengths(approach, Fraction(1)) == [1] * 4
    assert lengths(enclosure, half) == [1, half, half] * 2
    assert lengths(enclosure, Fraction(1, 3)) == [Fraction(1, 3)] * 12


def test_a_chord_too_short_for_an_enclosure_is_left_by_the_note_below(tune, written):
    line = enclosure(tune("F6 / / G7 | C6"), Terms(48, 71))
    assert written(line) == "F3 A3 F#3 | G3 G#3 | A3 D4 B3 C4 G3 E3"


def test_before_a_rest_nothing_leads_on(tune, written):
    assert written(approach(tune("C6 | N.C. | F6"), Terms(48, 71))) == (
        "C4 D#4 E4 F#4 G4 G#4 A4 | - | F4 C#4 D4 B3 C4 G#3 A3 B3"
    )


@pytest.mark.parametrize("maker", [approach, enclosure])
def test_a_chord_of_one_note_leaves_no_room(tune, maker):
    with pytest.raises(CannotPlay, match="bar 1: G7 lasts 1 quarter note, too short for a target"):
        maker(tune("F6 / / G7 | C6"), Terms(48, 71, value=Fraction(1)))


def test_targets_are_those_whose_leading_notes_are_in_range(tune):
    # In E3 to C4, C6 has E G A C; E has no note below it, C none above it.
    below = approach(tune("C6"), Terms(52, 60, options=LineOptions(side="below")))
    assert {n.pitch.midi for n in below.notes if n.role != "approach"} == {55, 57, 60}
    above = approach(tune("C6"), Terms(52, 60, options=LineOptions(side="above")))
    assert {n.pitch.midi for n in above.notes if n.role != "approach"} == {52, 55, 57}
    with pytest.raises(CannotPlay, match="bar 1: C6 has fewer than two chord tones"):
        enclosure(tune("C6"), Terms(52, 56))


def check(case):
    """Targets travel through chord tones on the beat, and each but one after a rest is led to."""
    sides = ["above", "below"] if case.kind == "enclosure" else [case.options.side or "below"]
    targets = [(note, index) for note, index in case.played if note.role != "approach"]
    assert {note.start for note, _ in targets} == case.beats(len(sides) + 1)
    heard = [
        (note.pitch.midi, [p for p in case.choice(index) if reached(case, p, index, sides)])
        for note, index in targets
    ]
    case.check_travel(heard)
    goals = {note.start: (note, index) for note, index in targets}
    for target, leads in led(case):
        last = leads[-1] if leads else target
        end = last.start + last.length
        goal = goals.get(Fraction(0) if end == case.end else end)
        room = (end - target.start) / case.value - 1
        assert len(leads) == (min(len(sides), room) if goal else 0)
        for lead, side in zip(leads[::-1], sides[::-1], strict=False):
            assert lead.length == case.value
            check_lead(case, lead.pitch, side, *goal)


def led(case):
    """Each target and the notes that follow it up to the next one."""
    found = []
    for note, _ in case.played:
        if note.role == "approach":
            found[-1][1].append(note)
        else:
            found.append((note, []))
    return found


def beside(case, target, index, side):
    scale = case.spans[index].scale.pitch_classes
    if side == "below":
        return target - 1
    return min(p for p in range(target + 1, target + 13) if p % 12 in scale)


def reached(case, target, index, sides):
    return all(case.low <= beside(case, target, index, side) <= case.high for side in sides)


def check_lead(case, pitch, side, goal, index):
    """It has its place beside its goal, and the next letter or a natural; below it is raised."""
    assert pitch.midi == beside(case, goal.pitch.midi, index, side)
    away = "CDEFGAB".index(pitch.name.letter) - "CDEFGAB".index(goal.pitch.name.letter)
    white = pitch.midi % 12 in {0, 2, 4, 5, 7, 9, 11}
    if white:
        assert pitch.name.alter == 0
    elif abs(goal.pitch.name.alter) < 2:
        assert away % 7 == (6 if side == "below" else 1)
    if side == "below" and not white and goal.pitch.name.alter != -1:
        assert pitch.name.alter == 1


SIDES = [
    LineOptions(),
    LineOptions(side="above"),
    LineOptions(tones="triads"),
    LineOptions(side="above", tones="3-5-7-9"),
]


def test_approach_on_charts(on_charts):
    on_charts(check, "approach", *SIDES)


def test_enclosure_on_charts(on_charts):
    on_charts(check, "enclosure", LineOptions(), LineOptions(tones="triads"))


@pytest.mark.sweep
def test_approach_on_every_chart(on_every_chart):
    on_every_chart(check, "approach", *SIDES)


@pytest.mark.sweep
def test_enclosure_on_every_chart(on_every_chart):
    on_every_chart(check, "enclosure", LineOptions(), LineOptions(tones="triads"))
