"""Voicings against every set of pitches there is, sorted by rules that know only semitones.

The rules are common practice, no source, where none is named.
"""

from itertools import combinations, pairwise, permutations, product
from pathlib import Path

import mir_eval
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.chart import Chart
from chartkit.errors import ChordError
from chartkit.form import body
from chartkit.harmony import spans
from chartkit.reader import parse
from chartkit.theory.symbol import read_symbol
from chartkit.theory.voicing import movement, voicings

QUALITIES = [
    tuple(line.split())
    for line in (Path(__file__).parent / "qualities.txt").read_text().splitlines()
    if line and not line.startswith("#")
]
ROOTS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
NUMBERS = {1: 9, 2: 9, 3: 9, 5: 11, 6: 11, 8: 13, 9: 13}
"""The number of a tension by its semitones above the root."""

many = settings(derandomize=True, max_examples=200, deadline=None)


def chord(text):
    return read_symbol(text).chord


def published(label):
    """Semitones above the root by mir_eval 0.8.2, from the quality's label in Harte's syntax."""
    _, bitmap, _ = mir_eval.chord.encode(f"C:{label}", reduce_extended_chords=True)
    return set(np.flatnonzero(bitmap).tolist())


def first(tones, *choices):
    return next((tone for tone in choices if tone in tones), None)


class Tones:
    """What the semitones of a chord tell of how it is voiced."""

    def __init__(self, tones):
        self.third = first(tones, 4, 3, 5, 2)
        self.seventh = first(tones, 10, 11, 9)
        altered = set() if 7 in tones else {6, 8} & tones
        self.altered = altered if len(altered) == 1 else set()  # both: b5 and b13 are tensions
        self.guides = {self.third, self.seventh, *self.altered} - {None}
        self.tensions = tones - self.guides - {0, 7}
        replaced = {6, 8} & tones or (9 in self.tensions and self.seventh)
        self.fifth = set() if replaced else {7} & tones
        others = self.guides | self.tensions | self.fifth
        self.tones = others if len(others) >= 3 else others | {0}

    def stand_in(self, heard):
        """Tell whether these semitones above the root, one a voice, stand for the chord."""
        kept = [tone for tone in heard if tone in self.tensions]
        numbers = {NUMBERS[tone] for tone in kept}
        possible = len({NUMBERS[tone] for tone in self.tensions})
        return (
            self.guides <= set(heard) <= self.tones
            and len(set(heard)) == len(heard)
            and not {self.seventh, *self.altered, 0, 7}.isdisjoint(heard)
            and len(numbers) == len(kept) == min(possible, len(heard) - len(self.guides))
            and (bool(kept) or not self.tensions)
        )


def lies_well(pitches):
    """Within a tenth, no seconds below E3 (52), no minor ninth, no semitone on top."""
    gaps = [high - low for low, high in pairwise(pitches)]
    return (
        sum(gaps) <= 16
        and gaps[-1] > 1
        and not any(low < 52 and gap < 3 for low, gap in zip(pitches, gaps, strict=False))
        and not any(high - low == 13 for low, high in combinations(pitches, 2))
    )


@pytest.mark.parametrize(("symbol", "label"), QUALITIES)
def test_a_chord_has_exactly_the_voicings_that_the_rules_leave(symbol, label):
    tones = Tones(published(label))
    for root, name in enumerate(ROOTS):
        usable = [pitch for pitch in range(48, 73) if (pitch - root) % 12 in tones.tones]
        expected = {
            pitches
            for size in (3, 4)
            for pitches in combinations(usable, size)
            if lies_well(pitches) and tones.stand_in([(pitch - root) % 12 for pitch in pitches])
        }
        found = voicings(chord(name + symbol[1:]))
        assert expected
        assert {voicing.pitches for voicing in found} == expected


@pytest.mark.parametrize(("symbol", "label"), QUALITIES)
def test_a_voicing_says_what_its_pitches_are(symbol, label):
    for voicing in voicings(chord("A" + symbol[1:])):
        for pitch, degree in zip(voicing.pitches, voicing.degrees, strict=True):
            assert (pitch - 9 - degree.semitones) % 12 == 0
        assert {degree.semitones % 12 for degree in voicing.degrees} <= published(label)


@pytest.mark.parametrize(
    ("symbol", "selections"),
    [
        ("Cm7b5", {"b3 b5 b7"}),
        ("Co7", {"b3 b5 bb7"}),
        ("C7#5", {"3 #5 b7"}),
        ("C7(b13)", {"3 b7 b13"}),
        ("C13", {"3 b7 9", "3 b7 13", "3 b7 9 13"}),
        ("C6", {"3 5 6"}),
        ("C7sus", {"4 5 b7"}),
        ("C", {"1 3 5"}),
        ("C5", {"1 5"}),
        ("C7/Bb", {"3 5 b7", "1 3 b7", "1 3 5 b7"}),
    ],
)
def test_which_tones_are_chosen(symbol, selections):
    found = {
        " ".join(sorted({str(d) for d in one.degrees}, key=lambda text: int(text.strip("b#"))))
        for one in voicings(chord(symbol))
    }
    assert found == selections


def test_an_altered_dominant_is_root_third_seventh_and_any_alteration():
    found = {frozenset(map(str, one.degrees)) for one in voicings(chord("Calt"))}
    assert {tones - {"3", "b7"} for tones in found if len(tones) == 3} == {
        frozenset({tone}) for tone in ("b9", "#9", "#11", "b13")
    }
    assert all({"3", "b7"} < tones for tones in found)


def test_without_a_bass_the_root_may_sound():
    alone = voicings(chord("C7"), rootless=False)
    assert set(voicings(chord("C7"))) < set(alone)
    assert any("1" in map(str, one.degrees) for one in alone)


def span_of(changes, number, key="C"):
    reading = parse(f"Key: {key}\n[A]\n{changes}\n", "test")
    assert isinstance(reading.chart, Chart)
    return spans(body(reading.chart), loop=True)[number]


@pytest.mark.parametrize(
    ("changes", "number", "colours"),
    [
        ("| Dm7 | G7 | Cmaj7 | Cmaj7 |", 0, {"9", "11"}),
        ("| Dm7 | G7 | Cmaj7 | Cmaj7 |", 1, {"9", "13"}),
        ("| Dm7 | G7 | Cmaj7 | Cmaj7 |", 2, {"9", "13"}),
        ("| Dm7b5 | G7 | Cm6 | Cm6 |", 0, {"11"}),
        ("| Dm7b5 | G7 | Cm6 | Cm6 |", 1, {"b9", "b13"}),
        ("| Dm7b5 | G7 | Cm6 | Cm6 |", 2, {"9"}),
        ("| C | Em7 | Bo7 | C6 |", 0, set()),  # a triad stays a triad
        ("| C | Em7 | Bo7 | C6 |", 1, {"11"}),  # F is a semitone over E
        ("| C | Em7 | Bo7 | C6 |", 2, set()),
        ("| C | Em7 | Bo7 | C6 |", 3, {"9"}),
    ],
)
def test_colour_comes_from_the_chord_scale(changes, number, colours):
    key = "Cm" if "Cm6" in changes else "C"
    span = span_of(changes, number, key)
    plain = {degree for one in voicings(span.chord) for degree in one.degrees}
    coloured = {degree for one in voicings(span.chord, scale=span.scale) for degree in one.degrees}
    assert {str(degree) for degree in coloured - plain} == colours


@pytest.mark.parametrize(("symbol", "label"), QUALITIES)
def test_colour_keeps_to_the_scale_and_to_the_hand(symbol, label):
    tones = Tones(published(label))
    for root, name in enumerate(ROOTS):
        span = span_of(f"| {name}{symbol[1:]} | Fmaj7 |", 0, "F")
        scale = {(tone.pitch_class - root) % 12 for tone in span.scale.tones}
        for voicing in voicings(span.chord, scale=span.scale):
            heard = {(pitch - root) % 12 for pitch in voicing.pitches}
            assert lies_well(voicing.pitches)
            assert tones.guides <= heard <= tones.tones | scale
            assert 0 not in heard or 0 in tones.tones


BASES = (
    "", "m", "6", "m6", "69", "7", "m7", "maj7", "m(maj7)", "o", "o7", "m7b5", "+", "7#5", "maj7#5",
    "7b5", "sus", "7sus", "sus2", "5", "9", "m9", "maj9", "m11", "13", "m13", "9sus", "69sus",
    "alt",
)  # fmt: skip
TENSIONS = ("b9", "#9", "#11", "b13", "9", "11", "13", "b5", "#5")


def test_whatever_can_be_written_can_be_voiced():
    read = 0
    for base, size in product(BASES, (0, 1, 2)):
        for tensions in combinations(TENSIONS, size):
            symbol = f"C{base}({','.join(tensions)})" if tensions else f"C{base}"
            try:
                chords = [chord(symbol), chord(f"{symbol}/E")]
            except ChordError:
                continue
            read += 1
            assert all(map(voicings, chords)), symbol
    assert read > 500


def test_order_is_that_of_the_pitches_and_repeats():
    found = voicings(chord("C9"))
    assert [one.pitches for one in found] == sorted(one.pitches for one in found)
    voicings.cache_clear()
    assert voicings(chord("C9")) == found


def test_range_is_kept_and_may_be_too_narrow():
    for voicing in voicings(chord("C9"), 60, 79):
        assert 60 <= voicing.pitches[0] < voicing.top <= 79
    assert voicings(chord("C9"), 60, 65) == ()


def close(symbol):
    """Every inversion of a chord in close position, over three octaves."""
    tones = sorted(chord(symbol).pitch_classes)
    for turn in range(len(tones)):
        turned = [*tones[turn:], *(tone + 12 for tone in tones[:turn])]
        yield from (tuple(tone + octave for tone in turned) for octave in (36, 48, 60))


@pytest.mark.parametrize(
    ("before", "after", "semitones"),
    [
        # D. Tymoczko, "The Geometry of Musical Chords", Science 313 (2006), supplement: the least
        # that four voices move, one voice to one.
        ("Dm7", "G7", 3),
        ("G7", "Cmaj7", 3),
        ("Dm7b5", "G7", 2),
        ("C7", "Gb7", 2),
        ("Bo7", "G7", 1),
        ("C7", "F7", 4),
        ("Cmaj7", "Am7", 2),
        ("Cmaj7", "Emaj7", 4),
    ],
)
def test_least_movement_between_chords_is_the_published_one(before, after, semitones):
    assert min(movement(*pair) for pair in product(close(before), close(after))) == semitones


pitches = st.lists(st.integers(48, 72), min_size=3, max_size=4, unique=True).map(
    lambda drawn: tuple(sorted(drawn))
)


def least(few, many):
    """The least movement over every way to send each of many voices to one of few, none unused."""
    few, many = sorted((few, many), key=len)
    if len(few) == len(many):
        return min(
            sum(abs(a - b) for a, b in zip(way, many, strict=True)) for way in permutations(few)
        )
    ways = (way for way in product(few, repeat=len(many)) if set(way) == set(few))
    return min(sum(abs(a - b) for a, b in zip(way, many, strict=True)) for way in ways)


@many
@given(pitches, pitches)
def test_movement_is_the_least_over_all_pairings(before, after):
    assert movement(before, after) == movement(after, before) == least(before, after)
