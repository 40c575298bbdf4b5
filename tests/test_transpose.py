"""Transposition: its laws, and spellings that a copyist would write."""

import doctest
from importlib import resources
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import chartkit.transpose
from chartkit.chart import Bar, Change, Chart, Hold, Section, Simile
from chartkit.form import key_of
from chartkit.reader import parse, read
from chartkit.theory.key import WRITTEN, Key
from chartkit.theory.pitch import LETTERS, NoteName
from chartkit.theory.symbol import read_symbol, write_symbol
from chartkit.transpose import transpose, transpose_chord, transpose_to
from chartkit.writer import write

many = settings(derandomize=True, max_examples=200, deadline=None)

QUALITIES = sorted(
    {
        line.split()[0][1:]
        for line in (Path(__file__).parent / "theory" / "qualities.txt").read_text().splitlines()
        if line and not line.startswith("#")
    }
)
ROOTS = [NoteName(letter, alter) for letter in LETTERS for alter in (-1, 0, 1)]
KEYS = [Key.written(pitch_class, mode) for mode in WRITTEN for pitch_class in range(12)]
MORE_KEYS = [
    Key(NoteName.parse(tonic), mode)
    for mode, tonics in (("major", "F# C# Cb"), ("minor", "Ab A# D#"))
    for tonic in tonics.split()
]

roots = st.sampled_from(ROOTS)
chords = st.builds(
    lambda root, quality, bass: read_symbol(f"{root}{quality}{f'/{bass}' if bass else ''}").chord,
    roots,
    st.sampled_from(QUALITIES),
    st.none() | roots,
)
keys = st.sampled_from(KEYS + MORE_KEYS)
slots = st.lists(st.builds(Change, st.none() | chords, st.just(1)), min_size=1, max_size=3)
bars = st.builds(Bar, st.just(1), slots.map(tuple))
sections = st.builds(
    Section, st.just("A"), st.lists(bars, min_size=1, max_size=2).map(tuple), st.none() | keys
)
charts = st.builds(
    Chart, st.lists(sections, min_size=1, max_size=2).map(tuple), key=st.none() | keys
)


def key(text):
    """Return the key written ``F`` or ``Fm``."""
    return Key(NoteName.parse(text.removesuffix("m")), "minor" if text[-1] == "m" else "major")


def chart_of(symbols, home=None, section_key=None):
    changes = tuple(Change(read_symbol(symbol).chord, 1) for symbol in symbols.split())
    return Chart((Section("A", (Bar(1, changes),), section_key),), key=home)


def chords_of(chart):
    return [
        slot.chord
        for section in chart.sections
        for bar in section.bars
        for slot in bar.slots
        if isinstance(slot, Change) and slot.chord
    ]


def written(chart):
    return " ".join(write_symbol(chord) for chord in chords_of(chart))


def sound(chord):
    """Return what a chord sounds like: root, bass and all pitch classes."""
    return chord.root.pitch_class, chord.lowest.pitch_class, chord.pitch_classes


def moved(pitches, semitones):
    root, bass, classes = pitches
    up = lambda pitch: (pitch + semitones) % 12  # noqa: E731 (said once, used thrice below)
    return up(root), up(bass), frozenset(map(up, classes))


def test_examples_in_the_docstrings():
    assert doctest.testmod(chartkit.transpose).failed == 0


@many
@given(charts, st.integers(-24, 24))
def test_every_pitch_class_moves_by_as_many_semitones(chart, semitones):
    before, after = chords_of(chart), chords_of(transpose(chart, semitones))
    assert [sound(chord) for chord in after] == [moved(sound(one), semitones) for one in before]


@many
@given(charts, st.integers(-24, 24))
def test_back_again_sounds_as_before(chart, semitones):
    back = transpose(transpose(chart, semitones), -semitones)
    assert [sound(chord) for chord in chords_of(back)] == [*map(sound, chords_of(chart))]


@many
@given(charts, st.sampled_from([-24, -12, 0, 12]))
def test_octaves_change_nothing(chart, semitones):
    assert transpose(chart, semitones) == chart


@many
@given(charts, st.integers(1, 11))
def test_only_chords_and_keys_change(chart, semitones):
    def skeleton(one):
        return [
            [[getattr(slot, "beats", None) for slot in bar.slots] for bar in section.bars]
            for section in one.sections
        ]

    assert skeleton(transpose(chart, semitones)) == skeleton(chart)


@many
@given(charts, st.integers(1, 11))
def test_keys_move_under_their_customary_names_and_keep_their_mode(chart, semitones):
    after = transpose(chart, semitones)
    pairs = [(chart.key, after.key)] + [
        (one.key, other.key) for one, other in zip(chart.sections, after.sections, strict=True)
    ]
    for one, other in pairs:
        if one is None:
            assert other is None
        else:
            assert other == Key.written(one.tonic.pitch_class + semitones, one.mode)


@many
@given(chords, keys, keys)
def test_roots_keep_their_letter_distance_or_are_respelled(chord, home, goal):
    there = transpose_chord(chord, home, goal)
    assert there.degrees == chord.degrees
    if home == goal:
        assert there == chord
        return
    for one, other in ((chord.root, there.root), (chord.lowest, there.lowest)):
        assert abs(other.alter) <= 1
        assert str(other) not in {"Cb", "Fb", "E#", "B#"}
        steps = [
            LETTERS.index(name.letter) - LETTERS.index(base.tonic.letter)
            for name, base in ((one, home), (other, goal))
        ]
        if (steps[0] - steps[1]) % 7:
            kept = LETTERS[(LETTERS.index(goal.tonic.letter) + steps[0]) % 7]
            distance = (other.pitch_class - NoteName(kept).pitch_class + 6) % 12 - 6
            assert abs(distance) > 1 or f"{NoteName(kept, distance)}" in {"Cb", "Fb", "E#", "B#"}


@many
@given(charts, keys)
def test_a_name_that_is_typed_wins_and_the_mode_stays(chart, goal):
    home = key_of(chart)
    after = transpose_to(chart, goal)
    assert after.key == Key(goal.tonic, home.mode)
    semitones = goal.tonic.pitch_class - home.tonic.pitch_class
    assert [*map(sound, chords_of(after))] == [
        moved(sound(chord), semitones) for chord in chords_of(chart)
    ]


@many
@given(charts)
def test_to_its_own_key_a_chart_stays_as_it_is(chart):
    home = key_of(chart)
    after = transpose_to(chart, home)
    assert after.sections == chart.sections


# Common practice, no source: what a copyist writes.
@pytest.mark.parametrize(
    ("symbols", "home", "goal", "wanted"),
    [
        ("F7 Bb7 Bo7 D7b9 Gm7 C7", "F", "Eb", "Eb7 Ab7 Ao7 C7b9 Fm7 Bb7"),
        ("F7 Bb7 Bo7 D7b9 Gm7 C7", "F", "B", "B7 E7 Fo7 G#7b9 C#m7 F#7"),
        ("Cmaj7 Am7 Dm7 G7 Ebo7", "C", "Gb", "Gbmaj7 Ebm7 Abm7 Db7 Ao7"),
        ("Cmaj7 Am7 Dm7 G7 Ebo7", "C", "F#", "F#maj7 D#m7 G#m7 C#7 Ao7"),
        ("Cm7 Fm7 Dm7b5 G7 Ab7", "Cm", "Em", "Em7 Am7 F#m7b5 B7 C7"),
        ("Cm7 Fm7 Dm7b5 G7 Ab7", "Cm", "G#m", "G#m7 C#m7 A#m7b5 D#7 E7"),
        ("Cm7 Fm7 Dm7b5 G7 Ab7", "Cm", "Bbm", "Bbm7 Ebm7 Cm7b5 F7 Gb7"),
        ("Ab Db Gb7 Cb", "Ab", "A", "A D G7 C"),
        ("C Bb/D F/C C/E", "C", "D", "D C/E G/D D/F#"),
        ("C Fm6 Db7", "C", "Db", "Db Gbm6 D7"),
        ("C/B# G/F##", "C", "D", "D A"),
        ("C/Bb Am/G# C/Cb", "C", "B", "B/A G#m/G B/Bb"),
    ],
)
def test_spelling_after_the_move(symbols, home, goal, wanted):
    assert written(transpose_to(chart_of(symbols, key(home)), key(goal))) == wanted


def test_a_section_in_its_own_key_moves_as_far_and_by_its_own_letters():
    chart = chart_of("Am7 D7 G", key("C"), section_key=key("G"))
    after = transpose(chart, 3)
    assert (after.key, after.sections[0].key) == (key("Eb"), key("Bb"))
    assert written(after) == "Cm7 F7 Bb"


def test_the_letters_of_a_section_follow_its_own_key():
    # From C to B the letters go down one step, from E to E flat they stay.
    after = transpose(chart_of("E B7 A", key("C"), section_key=key("E")), 11)
    assert written(after) == "Eb Bb7 Ab"


def test_a_section_that_names_the_charts_key_takes_the_typed_name_too():
    chart = chart_of("C F G7", key("C"), section_key=key("C"))
    after = transpose_to(chart, key("F#"))
    assert after.sections[0].key == key("F#")
    assert written(after) == "F# B C#7"


def test_a_chart_without_a_key_moves_from_the_key_that_its_changes_suggest():
    chart = chart_of("Dm7 G7 C C")
    assert transpose(chart, 2).key is None
    assert written(transpose(chart, 2)) == "Em7 A7 D D"
    assert transpose_to(chart, key("Eb")).key == key("Eb")


def test_similes_holds_and_words_stay():
    words = Change(read_symbol("C7").chord, 2, pushed=True, stopped=True, text="softly")
    bar = Bar(1, (Hold(1), words, Simile(1)))
    after = transpose(Chart((Section("A", (bar,)),), key=key("C")), 7)
    assert after.sections[0].bars[0].slots == (
        Hold(1),
        Change(read_symbol("G7").chord, 2, pushed=True, stopped=True, text="softly"),
        Simile(1),
    )


DEMOS = [path for path in resources.files("chartkit.charts").iterdir() if path.suffix == ".chart"]


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_a_demo_tune_in_all_keys_is_written_and_read_back(path):
    tune = read(str(path))
    for semitones in range(12):
        there = transpose(tune, semitones)
        assert parse(write(there), path.name).chart == there
        assert [*map(sound, chords_of(there))] == [
            moved(sound(chord), semitones) for chord in chords_of(tune)
        ]
