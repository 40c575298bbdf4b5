"""Fingerings against exhaustive search, against handbook fingerings, and against plain counts."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import inf
from random import Random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from chartkit.errors import CannotPlay, RequestError
from chartkit.guitar import cost
from chartkit.guitar.fingering import as_given, finger
from chartkit.guitar.fretboard import STANDARD, Stop, Tuning, compass
from chartkit.guitar.hand import Grip
from chartkit.line import sounding

MAJOR = (0, 2, 4, 5, 7, 9, 11)
SHORT_NECK = Tuning("four strings, twelve frets", (55, 60, 64, 69), 12)


def every_grip(tuning, pitch, options):
    """All grips of a pitch, counted out over the whole neck."""
    asked = options.get("position")
    positions = [asked] if asked else range(1, max(tuning.frets - 2, 2))
    strings = options.get("strings") or range(1, len(tuning.open_strings) + 1)
    grips = []
    for position in positions:
        fingers = {position + finger - 1: finger for finger in (1, 2, 3, 4)}
        fingers |= {position - 1: 1, position + 4: 4}
        fingers.pop(0, None)
        if position == 1 or options.get("open_strings"):
            fingers[0] = 0
        grips += [
            Grip(position, fret, string, number)
            for fret, number in fingers.items()
            for string in strings
            if fret <= tuning.frets and tuning.open_strings[-string] + fret == pitch
        ]
    return sorted(grips)


def weights(line):
    """The hurry of the way to each heard note."""
    tones = sounding(line)
    return [
        cost.AT_A_REST,
        *(
            cost.hurry(tone.start - last.start, rested=last.end < tone.start)
            for last, tone in pairwise(tones)
        ),
    ]


def dearness(path, hurries, objective, *, welcome):
    """How dear a path is: shifts before points."""
    points = [cost.alone(grip, open_welcome=welcome) for grip in path]
    for number, (last, grip) in enumerate(pairwise(path), start=1):
        points[number] += cost.move(last, grip, hurries[number])
    shifts = sum(last.position != grip.position for last, grip in pairwise(path))
    if objective == "sum":
        return shifts, sum(points)
    return shifts, max(points), sum(points)


def exhaustive(layers, hurries, objective, *, welcome):
    """Walk all complete paths, cut only when already dearer than the best so far.

    Returns the least dearness and the first path that has it.
    """
    best, found = (inf,), None

    def walk(path, so_far):
        nonlocal best, found
        if so_far > best:
            return
        if len(path) == len(layers):
            if so_far < best:
                best, found = so_far, path
            return
        for grip in layers[len(path)]:
            shifts, *worst, total = so_far
            points = cost.alone(grip, open_welcome=welcome)
            if path:
                points += cost.move(path[-1], grip, hurries[len(path)])
                shifts += path[-1].position != grip.position
            walk([*path, grip], (shifts, *(max(one, points) for one in worst), total + points))

    walk([], (0, 0) if objective == "sum" else (0, 0, 0))
    return best, found


def fingered(fingering):
    """The path of a line without ties, as grips."""
    return [
        Grip(position, stop.fret, stop.string, stop.finger)
        for stop, position in zip(fingering.stops, fingering.positions, strict=True)
        if stop
    ]


def check_against_all_paths(line, tuning, objective, options):
    welcome = options.get("open_strings", False) or options.get("position") == 1
    layers = [every_grip(tuning, tone.pitch.midi, options) for tone in sounding(line)]
    fingering = finger(line, tuning, objective=objective, **options)
    path, hurries = fingered(fingering), weights(line)
    least, first = exhaustive(layers, hurries, objective, welcome=welcome)
    assert dearness(path, hurries, objective, welcome=welcome) == least
    assert path == first, "ties fall to the hand lower on the neck"
    assert (fingering.shifts, fingering.cost) == least[:2]


LENGTHS = [Fraction(1, 4), Fraction(1, 2), Fraction(1, 2), Fraction(1, 2), Fraction(1), Fraction(2)]


def random_case(rng):
    """A line of up to seven notes that moves as lines do, and options for its fingering."""
    tuning = rng.choice([STANDARD, STANDARD, STANDARD, SHORT_NECK])
    low, high = min(tuning.open_strings), max(tuning.open_strings) + tuning.frets
    pitch = rng.randint(low, high)
    reach = rng.choice([4, 7, 12])
    pitches = []
    for _ in range(rng.randint(1, 7)):
        pitches.append(pitch)
        pitch = min(max(pitch + rng.randint(-reach, reach), low), high)
    if rng.random() < 0.4:
        pitches.insert(rng.randrange(len(pitches)), None)
    options = {"open_strings": rng.random() < 0.2}
    if rng.random() < 0.3:
        options["position"] = rng.randint(1, 8)
    if rng.random() < 0.2:
        first = rng.randint(1, 3)
        options["strings"] = (first, first + 1)
    return pitches, [rng.choice(LENGTHS) for _ in pitches], tuning, options


def check_random_lines(line_of, seeds, objective):
    checked = 0
    for seed in seeds:
        pitches, lengths, tuning, options = random_case(Random(seed))
        grips = [every_grip(tuning, pitch, options) for pitch in pitches if pitch is not None]
        if grips and all(grips):
            check_against_all_paths(line_of(pitches, lengths), tuning, objective, options)
            checked += 1
    return checked


@pytest.mark.parametrize("objective", ["sum", "worst"])
def test_equals_exhaustive_search(line_of, objective):
    assert check_random_lines(line_of, range(1000), objective) > 500


@pytest.mark.sweep
@pytest.mark.parametrize("objective", ["sum", "worst"])
def test_equals_exhaustive_search_on_thousands_of_lines(line_of, objective):
    assert check_random_lines(line_of, range(1000, 21000), objective) > 10000


@settings(derandomize=True, max_examples=100, deadline=None)
@given(
    st.lists(st.integers(40, 86) | st.none(), min_size=1, max_size=5),
    st.sampled_from(["sum", "worst"]),
    st.booleans(),
)
def test_equals_exhaustive_search_on_drawn_lines(line_of, pitches, objective, open_strings):
    assume(any(pitches))
    options = {"open_strings": open_strings}
    check_against_all_paths(line_of(pitches), STANDARD, objective, options)


# What every fingering owes, on lines too long to search through.


def long_walk(seed, length=200, low=40, high=86):
    rng = Random(seed)
    pitch, pitches = rng.randint(low, high), []
    for _ in range(length):
        pitches.append(pitch if rng.random() < 0.9 else None)
        pitch = min(max(pitch + rng.randint(-9, 9), low), high)
    return pitches


def fewest_shifts(layers):
    """Keep to the positions that serve from here on until none is left, then shift."""
    shifts, serving = 0, set(layers[0])
    for layer in layers[1:]:
        serving &= layer
        if not serving:
            shifts, serving = shifts + 1, set(layer)
    return shifts


OPTIONS = [{}, {"open_strings": True}, {"strings": (2, 3, 4)}]


@pytest.mark.parametrize("objective", ["sum", "worst"])
@pytest.mark.parametrize("options", OPTIONS, ids=["free", "open strings", "on a string set"])
@pytest.mark.parametrize("seed", range(4))
def test_long_lines(line_of, seed, options, objective):
    low, high = (50, 81) if "strings" in options else (40, 86)
    pitches = long_walk(seed, low=low, high=high)
    fingering = finger(line_of(pitches), objective=objective, **options)
    assert [stop is None for stop in fingering.stops] == [pitch is None for pitch in pitches]
    heard = [pitch for pitch in pitches if pitch is not None]
    path = fingered(fingering)
    for pitch, grip in zip(heard, path, strict=True):
        assert STANDARD.open_strings[-grip.string] + grip.fret == pitch
        reach = grip.fret - grip.position - (grip.finger - 1)
        assert grip.finger == 0 or reach in {1: (-1, 0), 4: (0, 1)}.get(grip.finger, (0,))
        assert grip.string in options.get("strings", range(1, 7))
        if grip.fret == 0 and grip.position > 1:
            assert options.get("open_strings")
    layers = [{grip.position for grip in every_grip(STANDARD, p, options)} for p in heard]
    assert fingering.shifts == fewest_shifts(layers)


def scale(first, last, tonic):
    return [pitch for pitch in range(first, last + 1) if (pitch - tonic) % 12 in MAJOR]


def by_string(stops):
    """Frets and fingers string by string: ``6: 3 5, 5: ...``."""
    rows = {}
    for stop in stops:
        rows.setdefault(stop.string, []).append(stop)
    return rows


G_MAJOR_IN_II = [[2, 4], [1, 2, 4], [1, 3, 4], [1, 3, 4], [2, 4], [1, 2]]
"""Handbook fingering of G major from 43 to 67, string by string [common practice, no source]."""


@pytest.mark.parametrize("options", [{"position": 2}, {}], ids=["in position II", "free"])
@pytest.mark.parametrize("objective", ["sum", "worst"])
def test_g_major_in_position_ii(line_of, options, objective):
    up = scale(43, 67, tonic=7)
    fingering = finger(line_of(up), objective=objective, **options)
    rows = by_string(fingering.stops)
    assert list(rows) == [6, 5, 4, 3, 2, 1]
    assert [[stop.finger for stop in row] for row in rows.values()] == G_MAJOR_IN_II
    assert set(fingering.positions) == {2}
    assert fingering.cost == 0


def test_f_major_in_position_v_takes_no_stretch(line_of):
    # Position V stretches none of F [common practice]: its notes lie on the frets 5 to 8.
    fingering = finger(line_of(scale(45, 72, tonic=5)), position=5)
    assert {stop.fret for stop in fingering.stops} <= {5, 6, 7, 8}


def test_c_major_with_open_strings_in_position_i(line_of):
    # The first scale of most handbooks [common practice, no source].
    fingering = finger(line_of(scale(48, 67, tonic=0)), position=1)
    frets = [[stop.fret for stop in row] for row in by_string(fingering.stops).values()]
    assert frets == [[3], [0, 2, 3], [0, 2], [0, 1, 3], [0, 1, 3]]
    assert all(stop.finger == stop.fret for stop in fingering.stops)


def test_free_hands_avoid_open_strings_unless_asked(line_of):
    line = line_of([45, 47, 48, 50])
    assert all(stop.fret for stop in finger(line).stops)
    assert not all(stop.fret for stop in finger(line, open_strings=True).stops)


def test_the_lowest_note_of_all_is_the_open_string(line_of):
    assert finger(line_of([40, 41, 43])).stops[0] == Stop(6, 0, 0)


def test_the_hand_does_not_go_up_the_low_strings_for_comfort(line_of):
    # Nobody plays middle C on the lowest string [common practice, no source].
    fingering = finger(line_of([60, 62, 64, 65, 67, 76, 79]))
    assert fingering.shifts == 0
    assert max(fingering.positions) <= 12


def test_a_barre_is_rolled_rather_than_a_finger_hopped(line_of):
    # Fourths on one fret [common practice, no source].
    stops = finger(line_of([50, 55, 60]), position=5).stops
    assert [(stop.string, stop.fret, stop.finger) for stop in stops] == [
        (5, 5, 1),
        (4, 5, 1),
        (3, 5, 1),
    ]


def test_the_shift_waits_for_a_rest(line_of):
    pitches = [45, 47, 48, None, 64, 65, 79, 81]
    fingering = finger(line_of(pitches))
    moved = [p for p in fingering.positions if p is not None]
    assert fingering.shifts == 1
    assert moved[2] != moved[3], "the hand moves at the rest, before it has to"


def test_the_shift_waits_for_a_long_note(line_of):
    lengths = [Fraction(1, 2)] * 3 + [Fraction(3)] + [Fraction(1, 2)] * 4
    fingering = finger(line_of([45, 47, 48, 64, 65, 67, 79, 81], lengths))
    assert fingering.shifts == 1
    assert fingering.positions[3] != fingering.positions[4]


def test_a_tied_note_keeps_its_finger(line_of):
    line = line_of([55, 62, 62, 64], Fraction(2))
    tied = replace(line.notes[1], tie=True)
    line = replace(line, notes=(line.notes[0], tied, *line.notes[2:]))
    fingering = finger(line)
    assert fingering.stops[1] == fingering.stops[2]
    assert len(fingering.stops) == 4


def test_a_line_of_rests(line_of):
    fingering = finger(line_of([None, None]))
    assert fingering.stops == fingering.positions == (None, None)
    assert (fingering.cost, fingering.shifts, fingering.reasons) == (0, 0, ())


@pytest.mark.parametrize(
    ("pitches", "options", "sentence"),
    [
        ([60] * 9 + [88], {}, "bar 2: E6 cannot be played on this neck; choose another range"),
        ([60] * 17 + [40], {"position": 5}, "bar 3: E2 cannot be played in position V; choose"),
        ([50, 39], {}, "bar 1: Eb2 cannot be played on this neck"),
        ([62, 55], {"strings": (1, 2)}, "bar 1: G3 cannot be played on strings 1, 2"),
        ([62, 77], {"position": 3, "strings": (2,)}, "bar 1: F5 .* in position III on string 2"),
    ],
)
def test_a_note_without_a_place(line_of, pitches, options, sentence):
    with pytest.raises(CannotPlay, match=sentence):
        finger(line_of(pitches), **options)


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ({"position": 0}, "no position 0; choose one from 1 to 19"),
        ({"position": 20}, "no position 20; choose one from 1 to 19"),
        ({"strings": ()}, "numbered 1 to 6"),
        ({"strings": (6, 7)}, "numbered 1 to 6"),
    ],
)
def test_a_position_or_string_that_is_not_there(line_of, options, sentence):
    with pytest.raises(RequestError, match=sentence):
        finger(line_of([60]), **options)


@pytest.mark.parametrize("position", range(1, 20))
def test_every_note_of_a_window_has_a_fingering_in_its_position(line_of, position):
    low, high = compass(STANDARD, position)
    fingering = finger(line_of(list(range(low, high + 1))), position=position)
    assert set(fingering.positions) == {position}


def test_other_tunings_are_fingered_alike(line_of):
    bass = Tuning("bass", (28, 33, 38, 43), 20)
    fingering = finger(line_of(scale(31, 48, tonic=7)), bass)
    assert [[stop.finger for stop in row] for row in by_string(fingering.stops).values()] == [
        [2, 4],
        [1, 2, 4],
        [1, 3, 4],
        [1, 3, 4],
    ]


@pytest.mark.parametrize("options", [{}, {"position": 5}, {"open_strings": True}])
def test_a_settled_fingering_costs_what_the_search_found(line_of, options):
    pitches = [52, 55, None, 57, 60, 64, 67, 69, 72, 69, None, 64, 60, 57, 53, 52]
    line = line_of(pitches, [Fraction(1, 2), Fraction(2), Fraction(1), Fraction(1, 3)] * 4)
    found = finger(line, **options)
    pairs = zip(found.stops, found.positions, strict=True)
    grips = [Grip(hand, s.fret, s.string, s.finger) for s, hand in pairs if s]
    settled = as_given(line, grips)
    assert settled.stops == found.stops
    assert settled.positions == found.positions
    assert settled.cost == found.cost


def test_a_fingering_tells_whether_a_finger_leaves_its_fret(line_of):
    f_major, c_major = (53, 55, 57, 58, 60), (55, 57, 59, 60, 62)
    assert not finger(line_of(f_major), position=5).stretched
    assert finger(line_of(c_major), position=5).stretched
    assert not finger(line_of((40, 45, 50)), position=1).stretched  # open strings
