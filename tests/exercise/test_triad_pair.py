"""Triad pairs: worked examples, and their definition on every chart."""

from itertools import combinations, pairwise

import pytest

from chartkit.exercise.terms import Terms
from chartkit.exercise.triad_pair import triad_pair
from chartkit.line_options import LineOptions

# Over Dm7 and G7 F and G, over Cmaj7 C and D (lydian), over G7alt Db and Eb [common practice].
PAIRS = {
    ("Dm7 | G7 | Cmaj7", "C major"): ["F A C, G B D", "F A C, G B D", "C E G, D F# A"],
    ("G7alt | Cm6", "C minor"): ["Db F Ab, Eb G Bb", "F A C, G B D"],
    ("Bm7b5 | E7b9 | Am7", "A minor"): ["F A C, G B D", "E G# B, F A C", "C E G, D F# A"],
    ("F7#11 | Am7 | Em7", "C major"): ["F A C, G B D", "F A C, G B D", "F A C, G B D"],
    ("C7susb9 | Fmaj7", "F major"): ["A C E, Bb Db F", "F A C, G B D"],
    ("G13(b9) | Cdim7 | G7#5", "C major"): [
        "G B D, Db F Ab",
        "D F# A, Ab C Eb",
        "G B D#, A C# E#",
    ],
}


@pytest.mark.parametrize(("rows", "key"), PAIRS)
def test_the_pair_of_every_sort_of_chord(tune, rows, key):
    made = tune(rows, key=key)
    notes = triad_pair(made, Terms(40, 86)).notes
    for number, pair in enumerate(PAIRS[rows, key]):
        names = [str(note.pitch.name) for note in notes[8 * number : 8 * number + 6]]
        assert " ".join(names[:3]) + ", " + " ".join(names[3:]) == pair


def test_the_ladder_is_inverted_each_time_round(tune, written):
    line = triad_pair(tune("Dm7 | Dm7 | Dm7"), Terms(48, 77))
    assert written(line) == (
        "F3 A3 C4 G3 B3 D4 A3 C4 | F4 B3 D4 G4 C4 F4 A4 D4 | G4 B4 F3 A3 C4 G3 B3 D4"
    )


def test_where_the_range_is_small_it_is_inverted_less(tune, written):
    line = triad_pair(tune("Dm7 | Dm7"), Terms(52, 67))
    assert written(line) == "F3 A3 C4 G3 B3 D4 A3 C4 | F4 B3 D4 G4 F3 A3 C4 G3"
    line = triad_pair(tune("Dm7 | Dm7"), Terms(53, 63))
    assert written(line) == "F3 A3 C4 G3 B3 D4 F3 A3 | C4 G3 B3 D4 F3 A3 C4 G3"


def test_shapes(tune, written):
    options = LineOptions(shape="there-and-back")
    line = triad_pair(tune("Dm7 | G7"), Terms(48, 77, options=options))
    assert written(line) == "F3 A3 C4 G3 B3 D4 B3 G3 | F3 A3 C4 G3 B3 D4 B3 G3"
    line = triad_pair(tune("Dm7 | G7"), Terms(48, 77, upward=False))
    assert written(line).split(" | ")[0] == "B4 G4 D4 A4 F4 C4 G4 D4"


MAJOR, AUGMENTED = (0, 4, 7), (0, 4, 8)


def bounce(number, count):
    number %= 2 * (count - 1)
    return min(number, 2 * (count - 1) - number)


def check(case):
    """Three notes in one direction of one triad and three of another in turn, no tone in common."""
    case.check_even()
    case.check_layout()
    for (index, notes), up in zip(case.by_chord, case.directions, strict=True):
        pitches = [note.pitch.midi for note in notes]
        if case.options.shape == "there-and-back":
            assert pitches == [pitches[bounce(n, 6)] for n in range(len(pitches))]
            pitches = pitches[:6]
        threes = [pitches[n : n + 3] for n in range(0, len(pitches), 3)]
        assert all(three == sorted(set(three), reverse=not up) for three in threes)
        assert all(max(three) - min(three) < 12 for three in threes)
        sounds = [{p % 12 for p in three} for three in threes]
        assert all(sound <= sounds[n % 2] for n, sound in enumerate(sounds))
        assert all(not one & other for one, other in pairwise(sounds))
        if [len(sound) for sound in sounds[:2]] == [3, 3]:
            check_pair(case.spans[index].scale, *sounds[:2])


def check_pair(scale, one, other):
    """Both are major triads of the scale, or augmented, and no two lie nearer to each other."""
    own = {0, 2, 4, 6, 7, 9, 11} if scale.name == "ionian" else None
    root = scale.root.pitch_class
    tones = {(root + t) % 12 for t in own} if own else scale.pitch_classes
    majors, augmented = (
        {
            base: frozenset((base + t) % 12 for t in shape)
            for base in tones
            if {(base + t) % 12 for t in shape} <= tones
        }
        for shape in (MAJOR, AUGMENTED)
    )
    apart = {
        min((a - b) % 12, (b - a) % 12)
        for a, b in combinations(majors, 2)
        if not majors[a] & majors[b]
    }
    if not apart:
        assert {frozenset(one), frozenset(other)} <= set(augmented.values())
        return
    bases = {triad: base for base, triad in majors.items()}
    a, b = bases[frozenset(one)], bases[frozenset(other)]
    assert min((a - b) % 12, (b - a) % 12) == min(apart)


SHAPES = [LineOptions(shape=shape) for shape in (None, "there-and-back", "turn-about")]


def test_on_charts(on_charts):
    on_charts(check, "triad-pair", *SHAPES)


@pytest.mark.sweep
def test_on_every_chart(on_every_chart):
    on_every_chart(check, "triad-pair", *SHAPES)
