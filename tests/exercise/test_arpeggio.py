"""The straight arpeggio: worked examples, and its definition on every chart."""

from itertools import pairwise

import pytest

from chartkit.errors import CannotPlay
from chartkit.exercise.arpeggio import arpeggio
from chartkit.exercise.terms import Terms
from chartkit.line_options import LineOptions

TWO_FIVE_ONE = "Dm7 | G7 | Cmaj7 | Cmaj7"

# Worked by hand from the definition, in A2 to C5.
WORKED = {
    LineOptions(): """D3 F3 A3 C4 D3 F3 A3 C4 | G3 B3 D4 F4 G3 B3 D4 F4
        | C4 E4 G4 B4 C4 E4 G4 B4 | C4 E4 G4 B4 C4 E4 G4 B4""",
    LineOptions(shape="there-and-back"): """D3 F3 A3 C4 D4 C4 A3 F3 | G3 B3 D4 F4 G4 F4 D4 B3
        | C4 E4 G4 B4 C5 B4 G4 E4 | C4 E4 G4 B4 C5 B4 G4 E4""",
    LineOptions(shape="turn-about"): """D3 F3 A3 C4 D3 F3 A3 C4 | G3 F3 D3 B2 G3 F3 D3 B2
        | C3 E3 G3 B3 C3 E3 G3 B3 | C3 E3 G3 B3 C3 E3 G3 B3""",
    LineOptions(first="fifth"): """A2 C3 D3 F3 A2 C3 D3 F3 | D3 F3 G3 B3 D3 F3 G3 B3
        | G3 B3 C4 E4 G3 B3 C4 E4 | G3 B3 C4 E4 G3 B3 C4 E4""",
    LineOptions(tones="triads"): """D3 F3 A3 D3 F3 A3 D3 F3 | G3 B3 D4 G3 B3 D4 G3 B3
        | C4 E4 G4 C4 E4 G4 C4 E4 | G4 C4 E4 G4 C4 E4 G4 C4""",
    LineOptions(tones="3-5-7-9"): """F3 A3 C4 E4 F3 A3 C4 E4 | B3 D4 F4 A4 B3 D4 F4 A4
        | E3 G3 B3 D4 E3 G3 B3 D4 | E3 G3 B3 D4 E3 G3 B3 D4""",
}


@pytest.mark.parametrize("options", WORKED)
def test_worked_examples(tune, written, options):
    line = arpeggio(tune(TWO_FIVE_ONE), Terms(45, 72, options=options))
    assert written(line) == " ".join(WORKED[options].split())


def test_downward_it_starts_from_the_octave(tune, written):
    line = arpeggio(tune("Dm7 G7 | Cmaj7"), Terms(45, 72, upward=False))
    assert written(line) == "D4 C4 A3 F3 | G3 F3 D3 B2 | C4 B3 G3 E3 C4 B3 G3 E3"


# The ninth: flat on V of a minor key and on 7b9, natural elsewhere, on iii and half-diminished too.
@pytest.mark.parametrize(
    ("rows", "key", "ninths"),
    [
        ("Dm7 | G7 | Cmaj7 | Em7", "C major", "E A D F#"),
        ("Dm7b5 | G7 | Cm7 | Fm7", "C minor", "E Ab D G"),
        ("Gm7 | D7 | Gm7 | C7b9", "F major", "A Eb A Db"),
        ("G7#5 | Cm6 | G13 | Cm6", "C minor", "Ab D A D"),
        ("C7 | D7 | E7#9 | Amaj7", "A major", "D E F## B"),
        ("G7#9 | Cm7 | G7alt | Cm7", "C minor", "Ab D Ab D"),
    ],
)
def test_ninths(tune, rows, key, ninths):
    made = tune(rows, key=key)
    line = arpeggio(made, Terms(40, 86, options=LineOptions(tones="3-5-7-9")))
    found = [note.pitch.name for note in line.notes if note.role == "ninth"][::2]
    assert [str(name) for name in found] == ninths.split()


@pytest.mark.parametrize(
    ("rows", "options", "sentence"),
    [
        ("Dm7 | C", LineOptions(first="seventh"), "bar 2: C has no seventh among the tones"),
        ("Dm7", LineOptions(tones="triads", first="seventh"), "bar 1: Dm7 has no seventh among"),
        ("Dm7", LineOptions(tones="3-5-7-9", first="root"), "bar 1: Dm7 has no root among"),
        ("Dm7 | D5", LineOptions(tones="3-5-7-9"), "bar 2: D5 has no third for 3-5-7-9"),
        ("Dm7 | D5", LineOptions(first="third"), "bar 2: D5 has no third among the tones"),
    ],
)
def test_a_chord_that_lacks_a_tone(tune, rows, options, sentence):
    with pytest.raises(CannotPlay, match=sentence):
        arpeggio(tune(rows), Terms(45, 72, options=options))


def test_what_stands_for_a_tone_serves_for_it(tune, written):
    terms = Terms(48, 71, options=LineOptions(first="third"))
    assert written(arpeggio(tune("C7sus C6"), terms)) == "F3 G3 Bb3 C4 | E3 G3 A3 C4"
    terms = Terms(48, 71, options=LineOptions(first="seventh"))
    assert written(arpeggio(tune("G7alt C6"), terms)) == "F3 G3 B3 Eb4 | A3 C4 E4 G4"


def test_it_starts_again_on_a_new_chord_and_after_a_rest(tune, written):
    line = arpeggio(tune("C6 | C6 | N.C. | C6", meter="3/4"), Terms(48, 71))
    assert written(line) == "C3 E3 G3 A3 C3 E3 | G3 A3 C3 E3 G3 A3 | - | C4 E4 G4 A4 C4 E4"


def bounce(number, count):
    """0 1 2 3 2 1 0 1 ... for a count of 4."""
    number %= 2 * (count - 1)
    return min(number, 2 * (count - 1) - number)


def check(case):
    """Each chord's tones in order within an octave, from the one asked for."""
    case.check_even()
    case.check_layout()
    for (index, notes), up in zip(case.by_chord, case.directions, strict=True):
        ladder = from_first(case, index)
        ladder = ladder if up else ladder[::-1]
        if case.options.shape == "there-and-back":
            wanted = [ladder[bounce(n, len(ladder))] for n in range(len(notes))]
        else:
            wanted = [ladder[n % (len(ladder) - 1)] for n in range(len(notes))]
        root = case.spans[index].chord.root.pitch_class
        assert (notes[0].pitch.midi - root - wanted[0]) % 12 == 0
        moves = [after.pitch.midi - note.pitch.midi for note, after in pairwise(notes)]
        assert moves == [after - tone for tone, after in pairwise(wanted)]


def from_first(case, index):
    tones, parts = case.tone_set(index), case.parts(index)
    first = {
        None: tones[0],
        "root": 0,
        "third": parts.third,
        "fifth": parts.fifth,
        "seventh": parts.seventh,
    }[case.options.first]
    at = [tone % 12 for tone in tones].index(first % 12)
    return [*tones[at:], *(tone + 12 for tone in tones[: at + 1])]


OPTIONS = [
    LineOptions(tones=tones, first=first, shape=shape)
    for tones, first, shape in [
        (None, None, None),
        (None, "third", "there-and-back"),
        (None, "fifth", "turn-about"),
        (None, "seventh", None),
        (None, "root", "there-and-back"),
        ("triads", None, "there-and-back"),
        ("triads", "fifth", "turn-about"),
        ("3-5-7-9", None, None),
        ("3-5-7-9", "third", "there-and-back"),
        ("3-5-7-9", "seventh", "turn-about"),
    ]
]


def test_on_charts(on_charts):
    on_charts(check, "arpeggio", *OPTIONS)


@pytest.mark.sweep
def test_on_every_chart(on_every_chart):
    on_every_chart(check, "arpeggio", *OPTIONS)
